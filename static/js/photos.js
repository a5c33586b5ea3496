// Photos sent one by one as they are chosen, pasted or dropped: made smaller first where
// they are larger than what is kept, with progress, and again after a break with the same
// key, so that none is kept twice. Without this script the form's own button sends.
const TAKEN = new Set(["image/jpeg", "image/png", "image/webp"]);
const QUALITY = 0.9, LIGHT_ENOUGH = 6e6;

const key = () => Array.from(crypto.getRandomValues(new Uint8Array(16)),
  (byte) => byte.toString(16).padStart(2, "0")).join("");

// What this browser can't decode is sent as it is: the server says what it thinks of it.
const smaller = async (file, edge) => {
  let picture;
  try {
    picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    return file;
  }
  const scale = Math.min(1, edge / Math.max(picture.width, picture.height));
  if (scale === 1 && file.size < LIGHT_ENOUGH && TAKEN.has(file.type)) return file;
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(picture.width * scale);
  canvas.height = Math.round(picture.height * scale);
  const ground = canvas.getContext("2d");
  ground.fillStyle = "#fff";
  ground.fillRect(0, 0, canvas.width, canvas.height);
  ground.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
  return blob || file;
};

const post = (form, body, progress) => new Promise((done) => {
  const request = new XMLHttpRequest();
  request.open("POST", form.getAttribute("action"));
  request.setRequestHeader("Accept", "application/json");
  request.responseType = "json";
  request.upload.onprogress = (event) => {
    if (event.lengthComputable) progress.value = event.loaded / event.total;
  };
  request.onload = () => done(request.response || { refused: [request.statusText] });
  request.onerror = () => done(null);
  request.send(body);
});

const refresh = () => {
  const strip = document.querySelector("#photo-strip");
  if (strip) htmx.ajax("GET", strip.dataset.url, { target: strip, swap: "outerHTML" });
  const count = document.querySelector("[data-count]");
  if (count) count.textContent = Number(count.textContent) + 1;
};

const attempt = async (form, file, own, row, progress) => {
  const body = new FormData();
  for (const name of ["csrfmiddlewaretoken", "side"])
    body.set(name, form.elements[name].value);
  body.set("idempotency_key", own);
  if (file.lastModified) body.set("taken", file.lastModified);
  row.sent ||= await smaller(file, Number(form.dataset.edge)); // the same bytes again
  body.set("photos", row.sent, "photo");
  const answer = await post(form, body, progress), name = file.name || "";
  if (answer && !answer.refused.length) {
    row.replaceChildren(`${name} ${form.dataset.kept}`);
    refresh();
  } else if (answer) {
    row.className = "wrong";
    row.replaceChildren(`${name} ${answer.refused.join(" ")}`);
  } else {
    const again = document.createElement("button");
    again.type = "button";
    again.textContent = form.dataset.lost;
    again.onclick = () => {
      row.replaceChildren(`${name} `, progress);
      next(() => attempt(form, file, own, row, progress));
    };
    row.replaceChildren(`${name} `, again);
  }
};

// At the bench the photo is kept on the tablet first, and sent from there (outbox.js).
const keptAttempt = async (form, file, row) => {
  const fields = [["side", form.elements.side.value]], name = file.name || "";
  if (file.lastModified) fields.push(["taken", String(file.lastModified)]);
  const blob = await smaller(file, Number(form.dataset.edge));
  const url = new URL(form.getAttribute("action"), location).pathname;
  const item = await outbox.keep({ url, fields, lane: "photos", blob, shown: { what: name || form.dataset.sending } });
  const show = async ({ detail }) => {
    if (detail.item.seq !== item.seq) return;
    outbox.news.removeEventListener("settled", show);
    const isDone = detail.outcome === "done";
    row.className = isDone ? "" : "wrong";
    row.replaceChildren(`${name} ${isDone ? form.dataset.kept : detail.item.said}`);
    if (isDone) refresh();
    else await outbox.forget(item.seq); // told here, beside its name
  };
  outbox.news.addEventListener("settled", show);
  const found = await outbox.settled(item, 60000);
  if (found.outcome === "waiting") row.replaceChildren(`${name} ${document.getElementById("waiting").dataset.waits}`);
};

let last = Promise.resolve();
const next = (act) => { last = last.then(act); };

const send = (form, files) => {
  const list = form.parentElement.querySelector("[data-list]");
  for (const file of files) {
    const row = document.createElement("li"), progress = document.createElement("progress");
    progress.max = 1;
    progress.setAttribute("aria-label", `${file.name || ""} ${form.dataset.sending}`);
    row.append(`${file.name || ""} `, progress);
    list.append(row);
    const own = key(), insist = () => attempt(form, file, own, row, progress);
    next(window.outbox ? () => keptAttempt(form, file, row).catch(insist) : insist);
  }
};

const pictures = (transfer) =>
  [...(transfer ? transfer.files : [])].filter((file) => file.type.startsWith("image/"));

// Looked for at each event: at the bench the form is swapped with what is beside it.
const here = () => document.querySelector("[data-photos]");

const ready = () => {
  for (const zone of document.querySelectorAll("[data-zone]")) zone.hidden = false;
  for (const act of document.querySelectorAll("[data-without-script]")) act.remove();
};
ready();
document.addEventListener("htmx:afterSettle", ready);
document.addEventListener("submit", (event) => {
  if (event.target.matches("[data-photos]")) event.preventDefault();
});
document.addEventListener("change", (event) => {
  const form = event.target.closest("[data-photos]");
  if (!form || event.target.type !== "file") return;
  send(form, [...event.target.files]);
  event.target.value = "";
});
document.addEventListener("paste", (event) => {
  const found = pictures(event.clipboardData);
  if (!here() || !found.length) return;
  event.preventDefault();
  send(here(), found);
});
const isFile = (event) => here() && event.dataTransfer?.types.includes("Files");
document.addEventListener("dragover", (event) => {
  if (isFile(event)) event.preventDefault();
});
document.addEventListener("drop", (event) => {
  if (!isFile(event)) return;
  event.preventDefault();
  send(here(), pictures(event.dataTransfer));
});
