"""What an owner reads and signs who does not want the work that makes the vehicle safe. Pure: words in, words out.

In English and Spanish. Why a part is not safe and what is asked of the owner are common practice of the trade; what
the law or an insurer asks differs from place to place, so the paper sends the owner to them and says nothing for them.
"""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from jobs.eligibility.rules_letter import day_words

LANGUAGES = {"en": "English", "es": "Spanish"}
PARTS = {
    "brakes": "Brakes",
    "steering": "Steering or suspension",
    "tires": "Tires or wheels",
    "fuel": "Fuel leak or smell",
    "fumes": "Exhaust fumes",
    "lights": "Lights or wipers",
    "belts": "Seat belts or airbags",
    "rust": "Rusted through where it carries",
    "other": "Something else",
}
# Common practice of the trade: what each fault can lead to, without a figure that could be wrong for a vehicle.
WHY: Mapping[str, Mapping[str, str]] = {
    "en": {
        "brakes": "The vehicle may need much more room to stop, may pull to one side, or may not stop at all.",
        "steering": "A worn or broken part can let a wheel turn or come loose by itself. Then nobody can steer the vehicle.",
        "tires": "A tire can burst or lose its grip, most of all in rain or at speed, or a wheel can come off.",
        "fuel": "Fuel and its vapor can catch fire from one spark or a hot part, even while the vehicle stands.",
        "fumes": "Exhaust gas can get inside. The carbon monoxide in it has no smell, makes people drowsy, and can kill.",
        "lights": "You may not see the road in the dark or in rain, and others may not see that you are there or braking.",
        "belts": "In a crash the belts or airbags may not hold or protect the people inside.",
        "rust": "The part that carries the vehicle can break or give way, while driving or in a crash.",
        "other": "The crew told you how this can hurt you, the people who ride with you, and others on the road.",
    },
    "es": {
        "brakes": "El vehículo puede necesitar mucho más espacio para parar, irse hacia un lado o no parar.",
        "steering": "Una pieza gastada o rota puede hacer que una rueda gire o se suelte sola. Entonces nadie puede "
        "dirigir el vehículo.",
        "tires": "Una llanta puede reventar o perder agarre, sobre todo con lluvia o a velocidad, o una rueda puede salirse.",
        "fuel": "El combustible y sus vapores pueden prenderse con una chispa o una pieza caliente, aunque el vehículo esté "
        "parado.",
        "fumes": "El gas del escape puede entrar en el vehículo. El monóxido de carbono que lleva no tiene olor, da sueño y "
        "puede matar.",
        "lights": "Puede que usted no vea el camino de noche o con lluvia, y que otros no vean que usted está ahí o que frena.",
        "belts": "En un choque, los cinturones o las bolsas de aire pueden no sujetar ni proteger a las personas.",
        "rust": "La parte que sostiene el vehículo puede romperse o ceder, al manejar o en un choque.",
        "other": "El equipo le dijo cómo esto puede lastimarle a usted, a quienes viajan con usted y a otros en el camino.",
    },
}
TEXTS: Mapping[str, Mapping[str, Any]] = {
    "en": {
        "title": "I do not want this safety repair",
        "vehicle": "Vehicle",
        "number": "Repair order",
        "day": "Day",
        "found": "What the crew found, in their words",
        "why": "Why it is not safe",
        "ask": "What we ask of you",
        "asked": (
            "Do not drive this vehicle until the work is done, not even a short way. Have it towed.",
            "Tell everyone who might drive it or ride in it.",
            "If you sell it or give it away, show this paper.",
            "The law where you live may forbid driving it, and your insurance has its own rules. Ask them: we cannot "
            "answer for them.",
        ),
        "crew": "What the crew does",
        "does": (
            "We do not drive it on the road, and we usually do not finish other work on it.",
            "You owe nothing, with the repair or without it.",
            "You may change your mind. Tell us, and the repair goes on like any other. You may also have someone else "
            "look at the vehicle first.",
        ),
        "signing": "By signing I say",
        "signed": (
            "The crew told me what they found and why it is not safe, in words I understand, and I could ask about it.",
            "I do not want this work done now. That is my own choice.",
            "I may have a copy of this paper.",
        ),
        "places": ("Owner of the vehicle", "Who explained it", "Date"),
        "foot": "This paper tells what was said. It makes no vehicle safe.",
        "screen": "Signed by the owner on the screen on {on}; kept with the household's papers.",
    },
    "es": {
        "title": "No quiero esta reparación de seguridad",
        "vehicle": "Vehículo",
        "number": "Orden de reparación",
        "day": "Día",
        "found": "Lo que encontró el equipo, en sus palabras",
        "why": "Por qué no es seguro",
        "ask": "Lo que le pedimos",
        "asked": (
            "No maneje este vehículo hasta que se haga el trabajo, ni siquiera un tramo corto. Pida una grúa.",
            "Avise a todas las personas que podrían manejarlo o viajar en él.",
            "Si lo vende o lo regala, muestre este papel.",
            "La ley del lugar donde vive puede prohibir manejarlo, y su seguro tiene sus propias reglas. Pregúnteles: "
            "nosotros no podemos responder por ellos.",
        ),
        "crew": "Lo que hace el equipo",
        "does": (
            "No lo manejamos en la calle y por lo general no terminamos otros trabajos en él.",
            "Usted no debe nada, con la reparación o sin ella.",
            "Puede cambiar de opinión. Avísenos y la reparación sigue como cualquier otra. También puede pedir antes que "
            "otra persona revise el vehículo.",
        ),
        "signing": "Al firmar digo que",
        "signed": (
            "El equipo me dijo lo que encontró y por qué no es seguro, con palabras que entiendo, y pude hacer preguntas.",
            "No quiero que se haga este trabajo ahora. Es mi propia decisión.",
            "Puedo tener una copia de este papel.",
        ),
        "places": ("Dueño o dueña del vehículo", "Quien lo explicó", "Fecha"),
        "foot": "Este papel cuenta lo que se dijo. No hace seguro ningún vehículo.",
        "screen": "Firmado en la pantalla por el dueño o la dueña el {on}; se guarda con los documentos del hogar.",
    },
}
# What stands beside the box to sign in, and beside the typed way.
SIGN_HERE = {
    "en": ("Sign in the box", "Or: your name", "I am the owner. I read this or it was read to me, and I sign it."),
    "es": ("Firme en el recuadro", "O bien: su nombre", "Soy el dueño o la dueña. Lo leí o me lo leyeron, y lo firmo."),
}  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Told:
    """What the words are made from: ``part`` a key of ``PARTS``, ``found`` what the crew measured, ``vehicle`` in words."""

    fund: str
    town: str
    number: str
    vehicle: str
    part: str
    found: str
    on: date


@dataclass(frozen=True)
class RefusalText:
    """One page: ``facts`` are pairs of label and value, ``parts`` headings each with sentences.

    ``part`` is the key of ``PARTS`` it is about.
    """

    language: str
    title: str
    fund: str
    facts: tuple[tuple[str, str], ...]
    parts: tuple[tuple[str, tuple[str, ...]], ...]
    places: tuple[str, ...]
    foot: str
    part: str = ""

    @property
    def kept(self) -> dict[str, Any]:
        """As JSON values, to be kept with a signature."""
        return asdict(self)


def refusal_text(told: Told, language: str) -> RefusalText:
    """The words in a language; English for one we have no words for."""
    language = language if language in TEXTS else "en"
    say = TEXTS[language]
    return RefusalText(
        language=language,
        part=told.part,
        title=say["title"],
        fund=f"{told.fund}, {told.town}",
        facts=(
            (say["vehicle"], told.vehicle),
            (say["number"], told.number),
            (say["day"], day_words(told.on, language)),
        ),
        parts=(
            (say["found"], (told.found,)),
            (say["why"], (WHY[language][told.part],)),
            (say["ask"], say["asked"]),
            (say["crew"], say["does"]),
            (say["signing"], say["signed"]),
        ),
        places=say["places"],
        foot=say["foot"],
    )


def signed_words(language: str, on: date) -> str:
    """What stands instead of the lines to sign on, where it was signed on the screen."""
    return str(TEXTS[language]["screen"]).format(on=day_words(on, language))


def sheet_data(kept: Mapping[str, Any], signed: str = "") -> dict[str, Any]:
    """What the printed page shows, from the words as they are kept."""
    parts: Sequence[Any] = kept["parts"]
    return {
        "language": kept["language"],
        "title": kept["title"],
        "fund": kept["fund"],
        "facts": [list(pair) for pair in kept["facts"]],
        "parts": [{"heading": heading, "sentences": list(sentences)} for heading, sentences in parts],
        "places": list(kept["places"]),
        "foot": kept["foot"],
        "signed": signed,
    }
