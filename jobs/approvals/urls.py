from django.urls import path

from jobs.approvals import views, views_consumables, views_promises

app_name = "approvals"
urlpatterns = [
    path("waiting/decisions/", views.waiting, name="waiting"),
    path("waiting/promised/", views_promises.all_promised, name="promised"),
    path("waiting/overspent/<str:code>/", views_promises.overspent, name="overspent"),
    path("<str:number>/consumables/", views_consumables.consumables, name="consumables"),
    path("<str:number>/renew/", views_promises.renewal, name="renew"),
    path("<str:number>/let-go/", views_promises.letting_go, name="let-go"),
    path("<str:number>/approval/", views.decide, name="decide"),
    path("<str:number>/approval/<int:pk>/", views.frozen, name="frozen"),
    path("<str:number>/tie/", views.tie, name="tie"),
]
