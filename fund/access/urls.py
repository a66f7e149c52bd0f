from django.urls import path

from fund.access import views

app_name = "access"
urlpatterns = [
    path("sign-in/", views.SignIn.as_view(), name="sign-in"),
    path("sign-out/", views.SignOut.as_view(), name="sign-out"),
    path("own/", views.own, name="own"),
    path("people/", views.people, name="people"),
    path("people/add/", views.person_add, name="person-add"),
    path("people/<str:username>/", views.person, name="person"),
    path("people/<str:username>/password/", views.first_password, name="first-password"),
]
