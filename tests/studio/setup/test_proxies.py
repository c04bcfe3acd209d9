"""Whose address limits are counted by: forged headers change nothing, whatever stands in front."""

import contextlib
import datetime
import re
import shutil
import ssl
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from http.cookiejar import CookieJar
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from django.core.checks import run_checks
from django.test import Client, RequestFactory

from studio.setup.accounts import InvitedOnlyAdapter
from tests.running import README, ROOT, environment, free_port, manage, running, wait_for, web_server

SIGN_IN = "/accounts/login/"
PEER = "203.0.113.7"


def address_seen(settings, proxies: int, forwarded: str | None) -> str:
    settings.ALLAUTH_TRUSTED_PROXY_COUNT = settings.TRUSTED_PROXIES = proxies
    headers = {} if forwarded is None else {"x-forwarded-for": forwarded}
    request = RequestFactory().get(SIGN_IN, headers=headers, REMOTE_ADDR=PEER)
    return InvitedOnlyAdapter(request).get_client_ip(request)


@pytest.mark.parametrize(
    ("proxies", "forwarded", "seen"),
    [
        (0, None, PEER),
        (0, "198.51.100.1", PEER),
        (1, None, PEER),
        (1, "198.51.100.1", "198.51.100.1"),
        (1, "10.9.9.9, 198.51.100.1", "198.51.100.1"),
        (2, "10.9.9.9, 198.51.100.1, 192.0.2.2", "198.51.100.1"),
        (2, "198.51.100.1", PEER),
    ],
)
def test_only_what_the_proxies_wrote_is_believed(settings, proxies, forwarded, seen):
    assert address_seen(settings, proxies, forwarded) == seen


@pytest.mark.django_db
@pytest.mark.parametrize("proxies", [0, 1, 2])
def test_wrong_passwords_from_one_place_are_limited_whatever_is_forged(settings, studio, proxies):
    settings.ALLAUTH_TRUSTED_PROXY_COUNT = settings.TRUSTED_PROXIES = proxies
    real = ", ".join(["198.51.100.1", "192.0.2.2"][:proxies])
    judged = 0
    for number in range(24):
        tried = {"login": f"person{number}@example.org", "password": "not this one"}
        forged = f"10.0.0.{number}, 10.1.0.{number}, {real}".strip(", ")
        page = Client().post(SIGN_IN, tried, headers={"x-forwarded-for": forged})
        judged += "do not go together" in page.text
    assert 10 <= judged < 24


def test_without_a_proxy_a_forged_word_of_https_is_not_believed(settings, client):
    assert settings.TRUSTED_PROXIES == 0
    assert settings.SECURE_PROXY_SSL_HEADER is None


def test_the_old_variable_stops_the_start_and_says_what_to_set(tmp_path):
    done = subprocess.run(
        [sys.executable, "manage.py", "check"],
        cwd=ROOT,
        env=environment(tmp_path, BEHIND_PROXY="yes"),
        capture_output=True,
        text=True,
    )
    assert done.returncode
    assert "BEHIND_PROXY is no longer read: say in TRUSTED_PROXIES" in done.stderr


def test_https_without_a_proxy_is_remarked_on(settings):
    settings.SITE_ADDRESS, settings.BEHIND_HTTPS = "https://hear.example", True
    assert [found.id for found in run_checks() if found.id == "studio.W001"]
    settings.TRUSTED_PROXIES = 1
    assert not [found.id for found in run_checks() if found.id == "studio.W001"]


# From here on a real nginx, with the example of the README and nothing but places changed in it.


def example(tmp_path: Path, *, front: int, back: int) -> str:
    found = re.search(r"```nginx\n(.*?)```", README, re.DOTALL)
    assert found
    text = found[1]
    for name in ("ssl_certificate", "ssl_certificate_key"):
        text, count = re.subn(rf"({name}\s+)\S+;", rf"\g<1>{tmp_path / name}.pem;", text)
        assert count == 1
    text = text.replace("listen 443 ssl", f"listen 127.0.0.1:{front} ssl")
    text = text.replace("listen 80", f"listen 127.0.0.1:{free_port()}")
    assert "http://127.0.0.1:8000" in text
    return text.replace("127.0.0.1:8000", f"127.0.0.1:{back}")


def write_certificate(tmp_path: Path) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "hear.example")])
    now = datetime.datetime.now(datetime.UTC)
    made = x509.CertificateBuilder(name, name, key.public_key(), x509.random_serial_number())
    signed = made.not_valid_before(now).not_valid_after(now + datetime.timedelta(days=1))
    certificate = signed.sign(key, hashes.SHA256())
    (tmp_path / "ssl_certificate.pem").write_bytes(certificate.public_bytes(serialization.Encoding.PEM))
    (tmp_path / "ssl_certificate_key.pem").write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )


@contextlib.contextmanager
def nginx(tmp_path: Path, *, front: int, back: int):
    write_certificate(tmp_path)
    whole = (
        f"pid {tmp_path}/pid; error_log {tmp_path}/error.log; daemon off; events {{}}\n"
        "http {\n"
        + "".join(
            f"{kind}_temp_path {tmp_path}/{kind};\n"
            for kind in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
        )
        + example(tmp_path, front=front, back=back)
        + "}\n"
    )
    (tmp_path / "nginx.conf").write_text(whole)
    with running([NGINX, "-c", tmp_path / "nginx.conf", "-p", tmp_path]):
        yield


NGINX = shutil.which("nginx") or shutil.which("/usr/sbin/nginx")


class Visitor:
    """A browser that trusts any certificate and sends what it likes along."""

    def __init__(self, front: int, **headers: str) -> None:
        self.address = f"https://127.0.0.1:{front}"
        trusting = ssl.create_default_context()
        trusting.check_hostname, trusting.verify_mode = False, ssl.CERT_NONE
        self.open = urllib.request.build_opener(
            urllib.request.HTTPSHandler(context=trusting), urllib.request.HTTPCookieProcessor(CookieJar())
        )
        self.headers = {"Host": "hear.example", "Referer": "https://hear.example/", **headers}

    def ask(self, path: str, sent: dict | None = None) -> str:
        body = urllib.parse.urlencode(sent).encode() if sent else None
        asked = urllib.request.Request(self.address + path, body, self.headers)
        try:
            return self.open.open(asked, timeout=120).read().decode()
        except urllib.error.HTTPError as refused:
            return refused.read().decode()

    def try_password(self, token: str, person: str) -> str:
        return self.ask(SIGN_IN, {"csrfmiddlewaretoken": token, "login": person, "password": "not this one"})


def opens(front: int) -> bool:
    try:
        return "Sign in" in Visitor(front).ask(SIGN_IN)
    except OSError:
        return False


@pytest.mark.slow
@pytest.mark.skipif(NGINX is None, reason="needs nginx")
def test_behind_the_readmes_nginx_forged_addresses_are_limited(tmp_path):
    tmp_path.chmod(0o700)
    data = tmp_path / "data"
    data.mkdir(mode=0o700)
    manage(data, "migrate", "--verbosity", "0")
    manage(data, "collectstatic", "--noinput", "--verbosity", "0")
    front, back = free_port(), free_port()
    behind = {
        "SITE_ADDRESS": "https://hear.example",
        "ALLOWED_HOSTS": "hear.example,127.0.0.1",
        "TRUSTED_PROXIES": "1",
    }
    with web_server(data, port=back, **behind), nginx(tmp_path, front=front, back=back):
        wait_for(lambda: opens(front))
        visitor, judged = Visitor(front), []
        token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', visitor.ask(SIGN_IN))
        assert token
        for number in range(24):
            forged, began = f"10.0.0.{number}", time.monotonic()
            visitor.headers |= {"X-Forwarded-For": forged, "X-Real-IP": forged, "Forwarded": f"for={forged}"}
            if "do not go together" in visitor.try_password(token[1], f"person{number}@example.org"):
                judged.append((began, time.monotonic()))
    assert judged
    # Ten a minute, however long a busy machine takes for all of them.
    elevens = zip(judged, judged[10:], strict=False)
    assert all(ended - began >= 60 for (began, _), (_, ended) in elevens)
