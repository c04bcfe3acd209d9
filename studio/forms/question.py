from typing import cast

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from studio.models import Question


class QuestionForm(forms.ModelForm):
    """Whose question it is comes up only where a guardian has several children playing this music."""

    class Meta:
        model = Question
        fields = ["student", "from_bar", "to_bar", "text"]
        help_texts = {
            "from_bar": gettext_lazy("The bar's printed number."),
            "to_bar": gettext_lazy("Left empty, the question is about the one bar."),
        }
        widgets = {"text": forms.Textarea(attrs={"rows": 4})}

    def __init__(self, *args, students, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        choices = list(students)
        cast(forms.ModelChoiceField, self.fields["student"]).queryset = students
        if len(choices) == 1:
            self.instance.student = choices[0]
            del self.fields["student"]


class AnswerForm(forms.ModelForm):
    class Meta:
        model = Question
        fields = ["answer", "is_shared", "shared_text"]
        help_texts = {
            "is_shared": gettext_lazy("They read the question and your answer, never who asked."),
            "shared_text": gettext_lazy(
                "Left empty, all read the question as it was asked; reword it where it tells who asked."
            ),
        }
        widgets = {
            "answer": forms.Textarea(attrs={"rows": 5}),
            "shared_text": forms.Textarea(attrs={"rows": 3}),
        }

    def __init__(self, *args, may_share: bool, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        if not may_share:
            del self.fields["is_shared"], self.fields["shared_text"]

    def clean_answer(self) -> str:
        answer = self.cleaned_data["answer"].strip()
        if not answer:
            raise forms.ValidationError(_("Please write an answer; the question stays open until then."))
        return answer
