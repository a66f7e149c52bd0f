from django.urls import path

from reports.cost import views

app_name = "cost"
urlpatterns = [path("<str:number>/cost/", views.repair, name="repair")]
