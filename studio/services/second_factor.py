"""Second factors of others: who has one, and what happens where a phone is lost."""

from allauth.mfa.models import Authenticator
from django.db import transaction
from django.db.models import Exists, OuterRef, QuerySet

from studio.models import Event, User
from studio.services.account_changes import tell_of_change
from studio.services.events import record
from studio.services.sign_ins import end_sign_ins


def with_factor(users: QuerySet[User]) -> QuerySet[User]:
    """Each with `has_factor`."""
    factors = Authenticator.objects.filter(user=OuterRef("pk"), type=Authenticator.Type.TOTP)
    return users.annotate(has_factor=Exists(factors))


@transaction.atomic
def forget_second_factor(user: User) -> bool:
    """Delete it with its recovery codes, sign its person out and mail them; False where there was none."""
    count, _kinds = Authenticator.objects.filter(user=user).delete()
    if count:
        end_sign_ins(user)
        record(Event.Kind.FACTOR_ENDED, user)
        tell_of_change("mfa/email/totp_deactivated", user)
    return bool(count)
