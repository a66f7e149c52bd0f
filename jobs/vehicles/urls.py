from django.urls import path

from jobs.vehicles import views

app_name = "vehicles"
urlpatterns = [
    path("", views.all_vehicles, name="all"),
    path("add/<str:household>/", views.add, name="add"),
    path("<int:pk>/", views.change, name="change"),
]
