from django.urls import path

from jobs.vehicles import views_checkin, views_desk

app_name = "checkin"
urlpatterns = [
    path("unfetched/", views_desk.all_unfetched, name="unfetched"),
    path("<str:number>/check-in/", views_checkin.check_in, name="check-in"),
    path("<str:number>/photo/", views_checkin.photo, name="photo"),
    path("<str:number>/photos/<int:pk>/take-out/", views_checkin.take_out, name="take-out"),
    path("<str:number>/recalls/", views_desk.recalls, name="recalls"),
    path("<str:number>/dealer/", views_desk.dealer, name="dealer"),
    path("<str:number>/notices/", views_desk.notices, name="notices"),
]
