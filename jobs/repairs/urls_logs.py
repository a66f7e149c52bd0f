from django.urls import path

from jobs.repairs import views_logs

app_name = "logs"
urlpatterns = [
    path("converters/", views_logs.converters, name="converters"),
    path("converters/add/", views_logs.add_converter, name="add-converter"),
    path("converters/<int:pk>/", views_logs.converter, name="converter"),
    path("waste/", views_logs.waste, name="waste"),
    path("waste/add/", views_logs.add_waste, name="add-waste"),
]
