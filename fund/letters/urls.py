from django.urls import path

from fund.letters import views, views_year

app_name = "letters"
urlpatterns = [
    path("", views.letters, name="letters"),
    path("years/", views_year.years, name="years"),
    path("years/<int:year>/", views_year.year, name="year"),
    path("years/<int:year>/start/", views_year.start, name="year-start"),
    path("years/<int:year>/step/", views_year.step, name="year-step"),
    path("years/<int:year>/pdf/", views_year.year_pdf, name="year-pdf"),
    path("limits/", views.limits, name="limits"),
    path("limits/add/", views.add_limit, name="limit-add"),
    path("gift/<str:code>/", views.write, name="write"),
    path("of/<str:code>/<int:year>/", views.write_year, name="write-year"),
    path("<int:number>/", views.letter, name="letter"),
    path("<int:number>/pdf/", views.pdf, name="pdf"),
    path("<int:number>/text/", views.text, name="text"),
    path("<int:number>/void/", views.void, name="void"),
    path("<int:number>/anew/", views.anew, name="anew"),
]
