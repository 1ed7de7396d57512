// What the page asks the server for beyond reading, with the secret that only this page knows.

/** Ask for something; throws an Error with a sentence for a person if it is refused. */
export async function ask(address, secret, question) {
  const answer = await fetch(address, {
    method: "POST",
    cache: "no-store",
    headers: { "Content-Type": "application/json", "X-Foldstage-Secret": secret },
    body: JSON.stringify(question),
  });
  const found = await answer.json();
  if (!answer.ok) throw new Error(found.mistake ?? "this was refused");
  return found;
}
