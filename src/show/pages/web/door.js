// The way in: the key behind # in the address that the command opened is given for a cookie, once. A fragment is
// never sent to a server by itself, and is taken out of the address here.
(async () => {
  const said = document.getElementById("said");
  const key = /^#key=([0-9a-f]+)$/.exec(location.hash);
  if (!key) {
    said.textContent = "This browser has not entered. Open the address that keepway counter printed; it is good for one browser. To enter from another, stop keepway counter and start it again.";
    return;
  }
  history.replaceState(null, "", location.pathname);
  try {
    const reply = await fetch("/enter", {method: "POST", headers: {"X-Keepway-Token": key[1]}});
    const text = await reply.text();
    if (!reply.ok) {
      said.textContent = text;
      return;
    }
    // Of this address and port alone, where no other server on this computer can read it.
    localStorage.setItem("keepway-counter", text);
    location.reload();
  } catch {
    said.textContent = "keepway counter has stopped. Start it again.";
  }
})();
