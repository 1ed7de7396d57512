// What the page asks the server for beyond reading, with the secret that only this page knows.

/** Ask for something; throws an Error with a sentence for a person if it is refused. */
export function ask(address, secret, question) {
  return post(address, secret, "application/json", JSON.stringify(question));
}

/** Hand a file over, as it is; throws as `ask` does. */
export function send(address, secret, file) {
  return post(address, secret, "application/octet-stream", file);
}

async function post(address, secret, kind, body) {
  const answer = await fetch(address, {
    method: "POST",
    cache: "no-store",
    headers: { "Content-Type": kind, "X-Foldstage-Secret": secret },
    body,
  });
  const found = await answer.json();
  if (!answer.ok) throw new Error(found.mistake ?? "this was refused");
  return found;
}
