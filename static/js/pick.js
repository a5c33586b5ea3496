// A long list that is searched as one types. Without script it is the plain list it was.
// Every word must stand somewhere in a name; Enter takes the first that is left.
"use strict";
(() => {
  for (const list of document.querySelectorAll("select[data-search]")) {
    const groups = [...list.querySelectorAll("optgroup")];
    const all = groups.map((group) => [group, [...group.children]]);
    if (!all.length) continue;

    const field = document.createElement("input");
    field.type = "text";
    field.dataset.takesScans = "";
    field.autocomplete = "off";
    field.id = `${list.id}_search`;
    field.placeholder = list.dataset.search;
    field.setAttribute("aria-label", list.dataset.search);
    const none = document.createElement("p");
    none.className = "help";
    none.setAttribute("role", "status");
    list.before(field);
    list.after(none);
    list.size = 8;
    list.classList.add("pick-list");

    const words = () => field.value.toLocaleLowerCase().split(/\s+/).filter(Boolean);
    const holds = (option, asked) => {
      const text = option.textContent.toLocaleLowerCase();
      return asked.every((word) => text.includes(word));
    };

    function search() {
      const asked = words();
      const taken = list.value;
      let count = 0;
      for (const [group, options] of all) {
        const left = options.filter((one) => holds(one, asked));
        group.replaceChildren(...left);
        if (left.length) list.append(group);
        else group.remove();
        count += left.length;
      }
      list.value = taken;
      if (list.selectedIndex < 0) list.value = "";
      none.textContent = count ? "" : list.dataset.none;
    }

    field.addEventListener("input", search);
    field.addEventListener("keydown", (event) => {
      if (event.key === "Enter") {
        event.preventDefault();
        const first = list.querySelector("optgroup option");
        if (first && words().length) list.value = first.value;
      } else if (event.key === "ArrowDown") {
        event.preventDefault();
        list.focus();
      }
    });
  }
})();
