import pytest
from django.urls import reverse


@pytest.fixture
def url(take):
    return reverse("take_sound", args=[take.pk])


@pytest.fixture
def content(wav):
    return wav.read_bytes()


@pytest.fixture
def client(as_user, student_user):
    return as_user(student_user)


def body(response) -> bytes:
    return b"".join(response.streaming_content) if response.streaming else response.content


def test_the_whole(client, url, content, take):
    response = client.get(url)
    assert response.status_code == 200
    assert body(response) == content
    assert response["Content-Length"] == str(len(content))
    assert response["Accept-Ranges"] == "bytes"
    assert response["ETag"] == f'"{take.sha256}"'
    assert response["Content-Type"] == "audio/wav"
    assert "private" in response["Cache-Control"]


def test_the_name_given_is_not_the_students(client, url, take):
    assert client.get(url)["Content-Disposition"] == f'inline; filename="take-{take.pk}"'


@pytest.mark.parametrize(
    ("header", "first", "last"),
    [
        ("bytes=0-99", 0, 100),
        ("bytes=1000-", 1000, None),
        ("bytes=-500", -500, None),
        ("bytes=70000-140000", 70000, 140001),
    ],
)
def test_a_part(client, url, content, header, first, last):
    response = client.get(url, HTTP_RANGE=header)
    wanted = content[first:last]
    assert response.status_code == 206
    assert body(response) == wanted
    assert response["Content-Length"] == str(len(wanted))
    start = first if first >= 0 else len(content) + first
    assert response["Content-Range"] == f"bytes {start}-{start + len(wanted) - 1}/{len(content)}"


def test_beyond_the_end(client, url, content):
    response = client.get(url, HTTP_RANGE=f"bytes={len(content)}-")
    assert response.status_code == 416
    assert response["Content-Range"] == f"bytes */{len(content)}"
    assert body(response) == b""


@pytest.mark.parametrize("header", ["bytes=0-1,5-6", "pages=1-2", "bytes=9-3", "nonsense"])
def test_what_cannot_be_had_in_part_comes_whole(client, url, content, header):
    response = client.get(url, HTTP_RANGE=header)
    assert response.status_code == 200
    assert body(response) == content


def test_if_range_of_the_same_file(client, url, take):
    response = client.get(url, HTTP_RANGE="bytes=0-9", HTTP_IF_RANGE=f'"{take.sha256}"')
    assert response.status_code == 206


@pytest.mark.parametrize("tag", ['"another"', "Wed, 25 Nov 2026 09:00:00 GMT"])
def test_if_range_of_another_file_gives_the_whole(client, url, content, tag):
    response = client.get(url, HTTP_RANGE="bytes=0-9", HTTP_IF_RANGE=tag)
    assert response.status_code == 200
    assert body(response) == content


def test_head(client, url, content):
    response = client.head(url, HTTP_RANGE="bytes=0-9")
    assert response.status_code == 200
    assert response["Content-Length"] == str(len(content))
    assert response["Accept-Ranges"] == "bytes"
    assert body(response) == b""


@pytest.mark.parametrize("known", ['"{}"', 'W/"{}"', '"another", "{}"', "*"])
def test_what_the_browser_has_is_not_sent_again(client, url, take, known):
    """All forms of the header that RFC 9110, 13.1.2 gives."""
    response = client.get(url, HTTP_IF_NONE_MATCH=known.format(take.sha256), HTTP_RANGE="bytes=0-9")
    assert response.status_code == 304
    assert response["ETag"] == f'"{take.sha256}"'
    assert "no-store" in response["Cache-Control"]
    assert "Cookie" in response["Vary"]


@pytest.mark.parametrize(("since", "status"), [('"another"', 412), ('"{}"', 206)])
def test_a_part_of_a_file_that_is_no_longer_there(client, url, take, since, status):
    response = client.get(url, HTTP_IF_MATCH=since.format(take.sha256), HTTP_RANGE="bytes=0-9")
    assert response.status_code == status


def test_a_lost_file_is_not_found(client, url, take):
    take.sound.storage.delete(take.sound.name)
    assert client.get(url).status_code == 404


@pytest.mark.parametrize("person", ["guardian", "teacher", "director"])
def test_who_may_hear(request, as_user, person, url):
    assert as_user(request.getfixturevalue(person)).get(url).status_code == 200


@pytest.mark.parametrize("person", ["other_teacher", "other_student_user", "other_guardian"])
@pytest.mark.parametrize("headers", [{}, {"HTTP_RANGE": "bytes=0-9"}, {"HTTP_IF_NONE_MATCH": "tag"}])
def test_strangers(request, as_user, person, url, headers, take):
    if "HTTP_IF_NONE_MATCH" in headers:
        headers = {"HTTP_IF_NONE_MATCH": f'"{take.sha256}"'}
    assert as_user(request.getfixturevalue(person)).get(url, **headers).status_code == 404


def test_anonymous(as_user, url):
    assert as_user(None).get(url).status_code == 302


def test_only_by_get_and_head(client, url):
    assert client.post(url).status_code == 405


def test_permission_is_asked_each_time(client, url, student):
    assert client.get(url, HTTP_RANGE="bytes=0-9").status_code == 206
    student.user = None
    student.save()
    assert client.get(url, HTTP_RANGE="bytes=10-19").status_code == 404
