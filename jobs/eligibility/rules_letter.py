"""The letter to a household on a decision, in English and Spanish. Pure: words in, words out.

It names the reasons, the figures by the year, how to ask for a second look, and for how long a yes counts. It holds
what the household told itself and nothing of anybody else.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

MONTHS = {
    "en": "January February March April May June July August September October November December".split(),
    "es": "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre".split(),
}
REASONS_ES = {
    "income within": "el ingreso está dentro del límite",
    "program": "recibe ayuda de un programa que examina el ingreso",
    "income over": "el ingreso pasa del límite",
    "papers missing": "faltan documentos o son demasiado antiguos",
    "not the owner": "el vehículo no está a nombre del hogar",
    "outside the area": "vive fuera de la zona que atendemos",
    "no license": "nadie del hogar tiene licencia para conducirlo",
    "not insured": "el vehículo no tiene seguro",
    "helped lately": "ya recibió ayuda hace poco, tantas veces como permiten las reglas",
    "over the cap": "las reparaciones juntas cuestan más de lo que permiten las reglas",
    "registered lately": "el vehículo está registrado desde hace muy poco tiempo",
    "already repaired": "la reparación ya se hizo",
    "not our kind of work": "no hacemos esta reparación",
    "for business": "el vehículo es para un negocio o para vender",
    "not worth it": "la reparación cuesta más que el vehículo",
    "false papers": "documentos mostrados resultaron no ser verdaderos",
    "asked to stop": "el hogar nos pidió parar",
    "no answer": "no hubo respuesta cuando llamamos",
}
TEXTS: Mapping[str, Mapping[str, str]] = {
    "en": {
        "title": "Our decision on your request {code}",
        "hello": "Dear {name},",
        "eligible": "Your household can be helped: our decision of {on} is yes.",
        "not eligible": "We cannot help with this request. Our decision of {on} is no.",
        "more papers needed": "We cannot decide yet. On {on} we saw that we still need something from you.",
        "withdrawn": "Your request was closed on {on} without a decision for or against it.",
        "why": "Reasons:",
        "words": "In our own words: {words}",
        "figures": "We counted {income} of income a year for {people}. The line for {size} is {limit} a year.",
        "one person": "1 person",
        "people": "{size} people",
        "program": "You are already on a program that looks at income, so we did not compare yours with a line.",
        "conditions": "This goes with the yes:",
        "until": "The yes counts until {until}. It is not a promise of a certain repair or day.",
        "again": "You may ask for a second look. Someone who did not decide before looks at it then. Tell us what "
        "we should look at again, by the phone or page where you asked, and give the number {code}.",
        "new": "You may ask anew when something has changed.",
        "keep": "What you told us stays private. You may ask for a copy of it.",
        "bye": "{fund}, {town}",
    },
    "es": {
        "title": "Nuestra decisión sobre su solicitud {code}",
        "hello": "Estimada familia de {name}:",
        "eligible": "Podemos ayudar a su hogar: nuestra decisión del {on} es sí.",
        "not eligible": "No podemos ayudar con esta solicitud. Nuestra decisión del {on} es no.",
        "more papers needed": "Todavía no podemos decidir. El {on} vimos que aún necesitamos algo de usted.",
        "withdrawn": "Su solicitud se cerró el {on} sin una decisión a favor ni en contra.",
        "why": "Razones:",
        "words": "En nuestras palabras: {words}",
        "figures": "Contamos {income} de ingreso al año para {people}. El límite para {size} es {limit} al año.",
        "one person": "1 persona",
        "people": "{size} personas",
        "program": "Usted ya recibe ayuda de un programa que examina el ingreso; por eso no comparamos el suyo.",
        "conditions": "Esto acompaña al sí:",
        "until": "El sí vale hasta el {until}. No es la promesa de una reparación o un día determinados.",
        "again": "Puede pedir que se revise de nuevo. Lo hará una persona que no decidió antes. Díganos qué debemos "
        "revisar, por el teléfono o la página donde hizo la solicitud, y dé el número {code}.",
        "new": "Puede hacer otra solicitud cuando algo haya cambiado.",
        "keep": "Lo que nos contó queda en privado. Puede pedir una copia.",
        "bye": "{fund}, {town}",
    },
}
CONDITIONS_ES = {
    "license": "Se entrega a un conductor con licencia, o sobre un remolque.",
    "insurance": "No se prueba en la vía pública, y se entrega sobre un remolque o cuando se muestre el seguro.",
}


@dataclass(frozen=True, kw_only=True)
class Told:
    """What a letter is made from. Amounts are shown as they are here ("14,248.00")."""

    code: str
    name: str
    verdict: str
    on: date
    reasons: Sequence[tuple[str, str]]  # code and English words
    words: str
    size: int
    income: str
    limit: str
    on_program: bool
    conditions: Sequence[tuple[str, str]]  # rule and English words
    until: date | None
    fund: str
    town: str


@dataclass(frozen=True)
class LetterText:
    language: str
    title: str
    paragraphs: tuple[str, ...]

    @property
    def text(self) -> str:
        return "\n\n".join([self.title, *self.paragraphs]) + "\n"


def letter(told: Told, language: str) -> LetterText:
    """The letter in a language; English for one we have no words for."""
    language = language if language in TEXTS else "en"
    say = TEXTS[language]
    day = day_words(told.on, language)
    parts = [say["hello"].format(name=told.name), say[told.verdict].format(on=day)]
    names = [REASONS_ES.get(code, words) if language == "es" else words for code, words in told.reasons]
    if names:
        parts.append("\n".join([say["why"], *(f"- {name}" for name in names)]))
    if told.words:
        parts.append(say["words"].format(words=told.words))
    if told.verdict in ("eligible", "not eligible"):
        people = say["one person" if told.size == 1 else "people"].format(size=told.size)
        figures = say["figures"].format(income=told.income, people=people, size=told.size, limit=told.limit)
        parts.append(say["program"] if told.on_program else figures)
    if told.verdict == "eligible":
        bound = [
            CONDITIONS_ES.get(rule, words) if language == "es" else words for rule, words in told.conditions
        ]
        if bound:
            parts.append("\n".join([say["conditions"], *(f"- {words}" for words in bound)]))
        if told.until:
            parts.append(say["until"].format(until=day_words(told.until, language)))
    elif told.verdict != "withdrawn":
        parts.append(say["again"].format(code=told.code))
    else:
        parts.append(say["new"])
    parts += [say["keep"], say["bye"].format(fund=told.fund, town=told.town)]
    return LetterText(language, say["title"].format(code=told.code), tuple(parts))


def day_words(on: date, language: str) -> str:
    month = MONTHS[language][on.month - 1]
    return f"{on.day} de {month} de {on.year}" if language == "es" else f"{month} {on.day}, {on.year}"
