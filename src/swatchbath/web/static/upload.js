// Photos sent one after the other, each with the key that stands after # in the address.
"use strict";
(() => {
  const key = location.hash.slice(1), list = document.getElementById("sent");
  history.replaceState(null, "", location.pathname);
  document.getElementById("photos").addEventListener("change", async (event) => {
    for (const file of [...event.target.files]) {
      const line = document.createElement("li");
      line.textContent = `${file.name}: sending`;
      list.append(line);
      try {
        const answer = await fetch("/photo", {
          method: "POST", body: file,
          headers: { "X-Key": key, "X-Name": encodeURIComponent(file.name) },
        });
        const words = await answer.text();
        line.textContent = answer.ok ? `${file.name}: is on the computer` : `${file.name}: ${words}`;
      } catch {
        line.textContent = `${file.name}: it did not arrive. Is the page still open on the computer?`;
      }
    }
    event.target.value = "";
  });
})();
