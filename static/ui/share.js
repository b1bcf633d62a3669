/**
 * Give something away as a file: to another app where the browser can, else into the downloads.
 */

const KEEP_MS = 60000;

/** Share a text, or bytes of another type, as a file; gives "shared", "kept", "cancelled" or "failed". */
export async function shareFile(name, content, type = "text/plain") {
  const file = new File([content], name, { type });
  if (navigator.canShare?.({ files: [file] })) {
    try {
      await navigator.share({ files: [file] });
      return "shared";
    } catch (error) {
      if (error.name === "AbortError") return "cancelled";
    }
  }
  return keep(name, file);
}

function keep(name, file) {
  try {
    const href = URL.createObjectURL(file);
    const link = Object.assign(document.createElement("a"), { href, download: name });
    link.click();
    setTimeout(() => URL.revokeObjectURL(href), KEEP_MS);
    return "kept";
  } catch {
    return "failed";
  }
}
