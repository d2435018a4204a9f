"""Asks the program in server mode, in a process of its own, and prints what it answered: run by `test_server_mode`.

The database is a throw-away SQLite: system checks, which refuse that in server mode, are tried beside.
"""

import json
import os

os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"


def broken(request, **kwargs):
    raise RuntimeError("as if")


def asked(client, method, path, body=None, *, secure=True, **headers):
    answer = client.generic(
        method, path, json.dumps(body) if body is not None else "", content_type="application/json", secure=secure, headers=headers
    )
    content = b"".join(answer.streaming_content) if answer.streaming else answer.content
    cookies = [cookie.OutputString() for cookie in answer.cookies.values()]
    return {
        "status": answer.status_code,
        "headers": dict(answer.headers),
        "cookies": cookies,
        "text": content.decode("utf-8", "replace")[:400],
    }


def main():
    import django

    django.setup()
    from django.conf import settings
    from django.core.management import call_command
    from django.test import Client
    from django.urls import resolvers

    from config import urls
    from surveys import tokens
    from surveys.models import Person

    call_command("migrate", verbosity=0)
    call_command("collectstatic", "--noinput", verbosity=0)
    person = Person.objects.create_user(username="someone", password="a-password-of-four-words", name="Someone")
    secret = tokens.make(person, "x")[1]
    browser = Client(enforce_csrf_checks=True, raise_request_exception=False)
    told = {"page": asked(browser, "GET", "/"), "unsigned": asked(browser, "GET", "/api/v1/session")}
    key = browser.cookies[settings.CSRF_COOKIE_NAME].value
    right = {"username": "someone", "password": "a-password-of-four-words"}
    here = {"Referer": "https://testserver/sign-in", "X-CSRFToken": key}
    told["sign in"] = asked(browser, "POST", "/api/v1/session", right, **here)
    told["me"] = asked(browser, "GET", "/api/v1/me")
    told["sign in from elsewhere"] = asked(browser, "POST", "/api/v1/session", right, **{**here, "Referer": "https://evil.example/"})
    told["static"] = asked(browser, "GET", "/static/client/main.js")
    told["missing page"] = asked(browser, "GET", "/nothing/here")
    told["missing address"] = asked(browser, "GET", "/api/v1/nothing")
    told["docs"] = asked(browser, "GET", "/api/v1/docs")
    told["live"] = asked(browser, "GET", "/live")
    told["trace"] = asked(browser, "TRACE", "/")
    told["wrong host"] = asked(browser, "GET", "/", Host="evil.example")
    told["other origin"] = asked(browser, "GET", "/api/v1/me", Origin="https://evil.example")
    told["page in the open"] = asked(browser, "GET", "/", secure=False)
    told["interface in the open"] = asked(Client(), "GET", "/api/v1/me", secure=False, Authorization=f"Token {secret}")
    told["live in the open"] = asked(Client(), "GET", "/live", secure=False)
    # A route that fails, as no route of the program does when asked.
    urls.urlpatterns.insert(0, resolvers.URLPattern(resolvers.RoutePattern("broken", is_endpoint=True), broken))
    told["failed"] = asked(browser, "GET", "/broken")
    print(json.dumps(told))


if __name__ == "__main__":
    main()
