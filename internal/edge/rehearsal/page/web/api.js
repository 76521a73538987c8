// Requests to the page's own endpoints. A refusal becomes an Error whose message is the sentence to show.

async function read(response) {
  let body = {};
  try {
    body = await response.json();
  } catch {
    throw new Error("The answer was not readable.");
  }
  if (!response.ok) throw new Error(body.error || "That did not work.");
  return body;
}

async function request(path, options) {
  let response;
  try {
    response = await fetch(path, { credentials: "omit", cache: "no-store", ...options });
  } catch {
    throw new Error("The rehearsal does not answer. Is it still running?");
  }
  return read(response);
}

export const get = (path) => request(path, {});

export const post = (what, body) =>
  request(`api/${what}`, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) });

export const upload = (kind, form) => request(`api/${kind}`, { method: "POST", body: form });
