// What a person drops or chooses, as {folder, files: [{name, file}]}; a folder that holds nothing has no file. And
// how it is sent: piece by piece, so that it can be stopped, and no piece is large.
counter.files = (() => {
  const piece = 256 * 1024;

  const all = (reader) => new Promise((done, failed) => {
    const found = [];
    const next = () => reader.readEntries((some) => {
      if (some.length === 0) return done(found);
      found.push(...some);
      next();
    }, failed);
    next();
  });
  async function walk(entry, name, files) {
    if (entry.isFile) {
      files.push({name, file: await new Promise((done, failed) => entry.file(done, failed))});
      return;
    }
    const inside = await all(entry.createReader());
    if (inside.length === 0 && name) files.push({name: name + "/"});
    for (const each of inside) await walk(each, (name ? name + "/" : "") + each.name, files);
  }

  async function ofDrop(transfer) {
    // Asked for at once: they are gone after the first wait.
    const entries = [...transfer.items].map((item) => item.webkitGetAsEntry && item.webkitGetAsEntry()).filter(Boolean);
    const loose = [...transfer.files];
    if (entries.length === 0) return ofFiles(loose);
    const files = [];
    if (entries.length === 1 && entries[0].isDirectory) {
      await walk(entries[0], "", files);
      return {folder: entries[0].name, files};
    }
    for (const entry of entries) await walk(entry, entry.name, files);
    return {folder: "", files};
  }
  function ofFiles(files) {
    const inside = files.map((file) => file.webkitRelativePath || "");
    if (files.length > 0 && inside.every((path) => path.includes("/"))) {
      return {folder: inside[0].split("/")[0], files: files.map((file, i) => ({name: inside[i].split("/").slice(1).join("/"), file}))};
    }
    return {folder: "", files: files.map((file) => ({name: file.name, file}))};
  }

  // The name of the drop on the server. `tell(bytes, of, files)` as it goes on.
  async function send({folder, files}, tell, signal) {
    if (files.length === 0) throw Object.assign(new Error("nothing is in it"), {remedy: "drop the folder, the files, the image or the archive of one backup"});
    const of = files.reduce((sum, each) => sum + (each.file ? each.file.size : 0), 0);
    const {drop} = await counter.act("begin", {folder}, signal);
    let sent = 0;
    try {
      for (const [i, {name, file}] of files.entries()) {
        let at = 0;
        do {
          const bytes = file ? file.slice(at, at + piece) : new Blob([]);
          const where = new URLSearchParams({drop, name, at, ...(file ? {time: Math.floor(file.lastModified / 1000)} : {})});
          await counter.answer(counter.post("put?" + String(where).replaceAll("+", "%20"), bytes, signal));
          at += piece;
          sent += bytes.size;
          tell(sent, of, i + 1);
        } while (file && at < file.size);
      }
    } catch (error) {
      await counter.act("leave", {drop}).catch(() => {});
      throw error;
    }
    return drop;
  }

  return {ofDrop, ofFiles, send};
})();
