"""Accounts, and what the roles they hold let them be."""

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from studio.models.role import Role


class UserManager(BaseUserManager["User"]):
    def create_user(self, email: str, password: str | None = None, **fields) -> "User":
        user = self.model(email=self.normalize_email(email).lower(), **fields)
        user.set_password(password) if password else user.set_unusable_password()
        user.save(using=self._db)
        return user

    def with_address(self, email: str) -> "User | None":
        return self.filter(email=email.lower()).first()

    def with_role(self, role: str):
        return self.filter(roles__role=role, is_active=True).order_by("name", "pk")


class User(AbstractBaseUser):
    email = models.EmailField(_("mail address"), unique=True)
    name = models.CharField(_("name"), max_length=120)
    # Of pages and mails; empty follows the browser.
    language = models.CharField(_("language"), max_length=10, blank=True)
    is_active = models.BooleanField(default=True)
    joined_at = models.DateTimeField(default=timezone.now)
    # Kinds of notices this person does not want by mail.
    notices_off = models.JSONField(default=list, blank=True)

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS = ["name"]
    objects = UserManager()

    def __str__(self) -> str:
        return self.name

    @classmethod
    def nobody(cls) -> "User":
        """Stands where an address has no account, so that signing in does the same for it; never stored."""
        return cls(pk=0)

    @property
    def is_staff(self) -> bool:
        return self.is_director or self.is_teacher

    @property
    def role_names(self) -> frozenset[str]:
        if not hasattr(self, "_role_names"):
            self._role_names = frozenset(self.roles.values_list("role", flat=True))
        return self._role_names

    def has_role(self, role: str) -> bool:
        return role in self.role_names

    def grant(self, *roles: str) -> None:
        for role in roles:
            self.roles.get_or_create(role=role)
        self.__dict__.pop("_role_names", None)

    @property
    def is_director(self) -> bool:
        return self.has_role(Role.DIRECTOR)

    @property
    def is_teacher(self) -> bool:
        return self.has_role(Role.TEACHER)

    @property
    def is_student(self) -> bool:
        return self.has_role(Role.STUDENT)

    @property
    def is_guardian(self) -> bool:
        return self.has_role(Role.GUARDIAN)

    @property
    def is_guest(self) -> bool:
        return self.has_role(Role.GUEST)

    @property
    def is_only_guest(self) -> bool:
        """Here for one panel alone, until it closes."""
        return self.role_names == {Role.GUEST}
