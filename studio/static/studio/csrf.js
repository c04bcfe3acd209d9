// The token of now, not of when the page was opened: a new sign-in in another window changes it.
export function csrfToken() {
  return (
    document.cookie.match(/(?:^|; )(?:__Host-)?csrftoken=([^;]+)/)?.[1] ??
    document.querySelector("input[name=csrfmiddlewaretoken]")?.value ??
    ""
  );
}
