from django.urls import path

from jobs.estimates import views, views_shelf

app_name = "estimates"
urlpatterns = [
    path("lines/shelf/", views_shelf.there, name="there"),
    path("<str:number>/estimate/", views.edit, name="edit"),
    path("<str:number>/supplement/", views.supplement, name="supplement"),
]
