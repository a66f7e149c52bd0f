from django.urls import path

from jobs.households import views, views_keep

app_name = "households"
urlpatterns = [
    path("", views.households_list, name="list"),
    path("destruction-log/", views_keep.destroyed, name="destroyed"),
    path("copies/<int:pk>/", views_keep.copy, name="copy"),
    path("consents/<str:code>/", views_keep.consent, name="consent"),
    path("<str:code>/", views.household, name="household"),
    path("<str:code>/contact/", views.contact, name="contact"),
    path("<str:code>/people/", views.people, name="people"),
    path("<str:code>/incomes/", views.incomes, name="incomes"),
    path("<str:code>/papers/", views.papers, name="papers"),
    path("<str:code>/own-data/", views_keep.own_data, name="own-data"),
    path("<str:code>/put-right/", views_keep.put_right, name="put-right"),
    path("<str:code>/hold/", views_keep.hold, name="hold"),
    path("<str:code>/hold/lift/", views_keep.unhold, name="unhold"),
]
