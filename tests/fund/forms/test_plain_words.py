"""What is wrong is told in our words, whatever the kind of field; never in those of the framework."""

import pytest
from django import forms
from django.core.files.uploadedfile import SimpleUploadedFile

from fund.forms import BookForm


class Every(BookForm):
    words = forms.CharField(max_length=5, min_length=2)
    count = forms.IntegerField(min_value=1, max_value=168)
    share = forms.DecimalField(required=False)
    mail = forms.EmailField(required=False)
    one = forms.ChoiceField(choices=[("a", "A")], required=False)
    typed = forms.TypedChoiceField(choices=[("1", "one")], coerce=int, required=False)
    some = forms.MultipleChoiceField(choices=[("a", "A")], required=False)
    paper = forms.FileField(required=False)
    own = forms.CharField(error_messages={"required": "Say who."})

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["late"] = forms.IntegerField(max_value=3, required=False)


GOOD = {"words": "abc", "count": "3", "own": "me"}


@pytest.mark.parametrize(
    ("typed", "box", "told"),
    [
        ({"words": ""}, "words", "This cannot be left empty."),
        ({"words": "abcdef"}, "words", "This is too long: 5 characters at most, and it has 6."),
        ({"words": "a"}, "words", "This is too short: 2 characters at least, and it has 1."),
        ({"count": "169"}, "count", "This must be 168 or less."),
        ({"count": "0"}, "count", "This must be 1 or more."),
        ({"count": "1.5"}, "count", "Write a whole number."),
        ({"late": "4"}, "late", "This must be 3 or less."),
        ({"share": "much"}, "share", "Write a number."),
        ({"mail": "nobody"}, "mail", "This is not an e-mail address. Look at it again, or leave it empty."),
        ({"one": "b"}, "one", "Choose one of the list."),
        ({"typed": "2"}, "typed", "Choose one of the list."),
        ({"some": "b"}, "some", "Choose from the list."),
        ({"own": ""}, "own", "Say who."),
    ],
)
def test_each_mistake_has_a_sentence_of_our_own(typed: dict[str, str], box: str, told: str) -> None:
    form = Every(GOOD | typed)
    assert form.errors[box] == [told]


def test_an_empty_file_is_told_plainly() -> None:
    form = Every(GOOD, {"paper": SimpleUploadedFile("paper.pdf", b"")})
    assert form.errors["paper"] == ["The file is empty. Choose another one."]
