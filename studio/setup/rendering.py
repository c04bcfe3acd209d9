from django.forms.renderers import TemplatesSetting


class PaperForms(TemplatesSetting):
    """Fields with their label above, and help and errors beside the field they belong to."""

    form_template_name = "forms/form.html"
    field_template_name = "forms/field.html"
