from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from repertoire.library import pages
from repertoire.models import Attachment, Excerpt


class AttachmentForm(forms.Form):
    page = forms.FileField(
        label=_("A page"),
        widget=forms.FileInput(attrs={"accept": ".pdf,.jpg,.jpeg,.png"}),
        help_text=_("A PDF, or a photo or picture as JPEG or PNG, up to 15 MB. It is shown, not read."),
        error_messages={"required": _("Please choose a file."), "empty": _("The file is empty.")},
    )

    def attach_to(self, excerpt: Excerpt, by) -> Attachment | None:
        """The kept page; None with an error beside the field where it cannot be kept."""
        if not self.is_valid():
            return None
        try:
            return pages.attach(excerpt, self.cleaned_data["page"], by=by)
        except ValidationError as error:
            self.add_error("page", error)
            return None
