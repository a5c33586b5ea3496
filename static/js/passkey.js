// Passkeys: what the server asks, handed to the browser, and its answer into the form.
"use strict";
(() => {
  const toBytes = (text) => {
    const plain = atob(text.replace(/-/g, "+").replace(/_/g, "/"));
    return Uint8Array.from(plain, (sign) => sign.charCodeAt(0));
  };
  const toText = (buffer) => {
    if (!buffer) return null;
    const plain = String.fromCharCode(...new Uint8Array(buffer));
    return btoa(plain).replace(/\+/g, "-").replace(/\//g, "_").replace(/=/g, "");
  };
  const withBytes = (list) => (list || []).map((key) => ({ ...key, id: toBytes(key.id) }));

  async function make({ publicKey }) {
    const made = await navigator.credentials.create({ publicKey: {
      ...publicKey,
      challenge: toBytes(publicKey.challenge),
      user: { ...publicKey.user, id: toBytes(publicKey.user.id) },
      excludeCredentials: withBytes(publicKey.excludeCredentials),
    } });
    return told(made, {
      attestationObject: toText(made.response.attestationObject),
      transports: made.response.getTransports ? made.response.getTransports() : [],
    });
  }

  async function ask({ publicKey }) {
    const held = await navigator.credentials.get({ publicKey: {
      ...publicKey,
      challenge: toBytes(publicKey.challenge),
      allowCredentials: withBytes(publicKey.allowCredentials),
    } });
    return told(held, {
      authenticatorData: toText(held.response.authenticatorData),
      signature: toText(held.response.signature),
      userHandle: toText(held.response.userHandle),
    });
  }

  function told(credential, response) {
    return {
      id: credential.id,
      rawId: toText(credential.rawId),
      type: credential.type,
      clientExtensionResults: credential.getClientExtensionResults(),
      response: { clientDataJSON: toText(credential.response.clientDataJSON), ...response },
    };
  }

  async function optionsOf(form) {
    if (form.dataset.options)
      return JSON.parse(document.getElementById(form.dataset.options).textContent);
    const answer = await fetch(form.action, { headers: { Accept: "application/json" } });
    if (!answer.ok) throw new Error(`asked in vain: ${answer.status}`);
    return answer.json();
  }

  async function use(form) {
    const wrong = form.querySelector("[data-passkey-wrong]");
    wrong.hidden = true;
    try {
      const options = await optionsOf(form);
      const answer = form.dataset.passkey === "create"
        ? await make(options.creation_options) : await ask(options.request_options);
      form.elements.credential.value = JSON.stringify(answer);
      form.submit();
    } catch {
      wrong.hidden = false;
    }
  }

  const isNumbers = /^[\d.]+$|:/.test(location.hostname);
  if (!window.PublicKeyCredential || isNumbers) return;
  for (const note of document.querySelectorAll("[data-no-passkeys]")) note.hidden = true;
  for (const form of document.querySelectorAll("form[data-passkey]")) {
    form.hidden = false;
    form.querySelector("button[type=button]").addEventListener("click", () => use(form));
  }
})();
