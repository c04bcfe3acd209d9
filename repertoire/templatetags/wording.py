from django import template

from repertoire.wording.words import words

register = template.Library()
register.filter("words", words)
