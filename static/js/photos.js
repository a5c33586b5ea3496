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

const sender = (form) => {
  const list = (form.parentElement || form).querySelector("[data-list]");
  let last = Promise.resolve();

  const attempt = async (file, own, row, progress) => {
    const body = new FormData();
    for (const name of ["csrfmiddlewaretoken", "side"])
      body.set(name, form.elements[name].value);
    body.set("idempotency_key", own);
    if (file.lastModified) body.set("taken", file.lastModified);
    body.set("photos", await smaller(file, Number(form.dataset.edge)), "photo");
    const answer = await post(form, body, progress);
    if (answer && !answer.refused.length) {
      row.replaceChildren(`${file.name || ""} ${form.dataset.kept}`);
      refresh();
    } else if (answer) {
      row.className = "wrong";
      row.replaceChildren(`${file.name || ""} ${answer.refused.join(" ")}`);
    } else {
      const again = document.createElement("button");
      again.type = "button";
      again.textContent = form.dataset.lost;
      again.onclick = () => {
        row.replaceChildren(progress);
        last = last.then(() => attempt(file, own, row, progress));
      };
      row.replaceChildren(`${file.name || ""} `, again);
    }
  };

  return (files) => {
    for (const file of files) {
      const row = document.createElement("li"), progress = document.createElement("progress");
      progress.max = 1;
      progress.setAttribute("aria-label", `${file.name || ""} ${form.dataset.sending}`);
      row.append(`${file.name || ""} `, progress);
      list.append(row);
      const own = key();
      last = last.then(() => attempt(file, own, row, progress));
    }
  };
};

const pictures = (transfer) =>
  [...(transfer ? transfer.files : [])].filter((file) => file.type.startsWith("image/"));

const form = document.querySelector("[data-photos]");
if (form && !form.dataset.isReady) {
  form.dataset.isReady = "yes";
  const send = sender(form), zone = document.querySelector("[data-zone]");
  if (zone) zone.hidden = false;
  form.querySelector("[data-without-script]")?.remove();
  form.addEventListener("submit", (event) => event.preventDefault());
  for (const input of form.querySelectorAll("[type=file]"))
    input.addEventListener("change", () => {
      send([...input.files]);
      input.value = "";
    });
  document.addEventListener("paste", (event) => {
    const found = pictures(event.clipboardData);
    if (!found.length) return;
    event.preventDefault();
    send(found);
  });
  document.addEventListener("dragover", (event) => {
    if (event.dataTransfer?.types.includes("Files")) event.preventDefault();
  });
  document.addEventListener("drop", (event) => {
    if (!event.dataTransfer?.types.includes("Files")) return;
    event.preventDefault();
    send(pictures(event.dataTransfer));
  });
}
