"""Pages for whoever needs help, below /ask-for-help/. What stands in ``secret`` is the private link's."""

from django.urls import path

from jobs.intake import views_public, views_status

app_name = "asking"
urlpatterns = [
    path("new/", views_public.start, {"language": "en"}, name="start"),
    path("es/new/", views_public.start, {"language": "es"}, name="start-es"),
    path("mine/<str:secret>/", views_status.mine, name="mine"),
    path("mine/<str:secret>/before/", views_public.early, name="early"),
    path("mine/<str:secret>/throw-away/", views_public.drop, name="drop"),
    path("mine/<str:secret>/agreed/", views_status.consents, name="consents"),
    path("mine/<str:secret>/second-look/", views_status.second_look, name="second-look"),
    path("mine/<str:secret>/take-back/", views_status.withdraw, name="withdraw"),
    path("mine/<str:secret>/language/", views_status.language, name="language"),
    path("mine/<str:secret>/page/<str:key>/", views_public.page, name="page"),
]
