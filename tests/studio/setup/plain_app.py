"""A page that says how much it was sent, for tests of the web server alone."""


def app(environ, start_response):
    body = environ["wsgi.input"].read(int(environ.get("CONTENT_LENGTH") or 0))
    answer = f"{environ['PATH_INFO']} {len(body)}".encode()
    start_response("200 OK", [("Content-Length", str(len(answer)))])
    return [answer]
