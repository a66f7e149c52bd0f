from django.urls import path

from jobs.repairs import views

app_name = "repairs"
urlpatterns = [
    path("", views.all_repairs, name="all"),
    path("open/", views.choose, name="choose"),
    path("open/<str:application>/", views.open_new, name="open"),
    path("<str:number>/", views.repair, name="repair"),
    path("<str:number>/complaint/", views.complaint, name="complaint"),
    path("<str:number>/failure-point/", views.failure_point, name="failure-point"),
    path("<str:number>/cause/", views.cause, name="cause"),
    path("<str:number>/correction/", views.correction, name="correction"),
    path("<str:number>/work-sheet/", views.sheet, name="work-sheet"),
    path("<str:number>/mechanic/", views.mechanic, name="mechanic"),
    path("<str:number>/start/", views.start, name="start"),
    path("<str:number>/cancel/", views.cancel, name="cancel"),
    path("<str:number>/findings/add/", views.finding, name="finding"),
    path("<str:number>/findings/<int:pk>/", views.decide_finding, name="decide-finding"),
]
