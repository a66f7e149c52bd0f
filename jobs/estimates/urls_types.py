from django.urls import path

from jobs.estimates import views_types

app_name = "jobtypes"
urlpatterns = [
    path("typical-jobs/", views_types.all_types, name="all"),
    path("typical-jobs/add/", views_types.add_type, name="add"),
    path("typical-jobs/<slug:code>/", views_types.one_type, name="one"),
    path("typical-jobs/<slug:code>/change/", views_types.change_type, name="change"),
    path("<str:number>/typical-job/", views_types.choose, name="choose"),
    path("<str:number>/owner-yes/", views_types.owner_yes, name="owner-yes"),
]
