import { bodyOfSpan, bodyOfText, type ObjectBody } from "./object-body.js";
import { type ObjectRequests, type Patience, throwAway, unavailable } from "./requests.js";
import { ObjectStorageUnavailable } from "./unavailable.js";
import { elementsOf, textOf } from "./xml.js";

interface Upload {
  readonly requests: ObjectRequests;
  readonly key: string;
  readonly patience: Patience;
}

/**
 * Puts a file that is too large for one request, in parts of which each is sent again by itself (Amazon S3, "Uploading and copying
 * objects using multipart upload"). It is there whole or not at all.
 */
export async function putInParts(upload: Upload, path: string, bytes: number, partBytes: number): Promise<void> {
  const { requests, key, patience } = upload;
  const begun = await requests.text({ method: "POST", key, query: { uploads: "" } }, patience);
  const uploadId = inXml(begun, "UploadId");
  try {
    const tags: string[] = [];
    for (let start = 0; start < bytes; start += partBytes) {
      const body = await bodyOfSpan(path, { start, end: Math.min(start + partBytes, bytes) - 1 });
      tags.push(await putPart(upload, uploadId, tags.length + 1, body));
    }
    const body = bodyOfText(completionOf(tags));
    const ended = await requests.text({ method: "POST", key, query: { uploadId }, body }, patience);
    // Of what fails after its status was sent, the body alone tells.
    inXml(ended, "ETag");
  } catch (error) {
    // What was sent until here would be kept and charged for.
    await requests.ask({ method: "DELETE", key, query: { uploadId } }, patience).then(throwAway, () => undefined);
    throw error;
  }
}

async function putPart(
  { requests, key, patience }: Upload,
  uploadId: string,
  partNumber: number,
  body: ObjectBody,
): Promise<string> {
  const query = { partNumber: String(partNumber), uploadId };
  const answer = await requests.ask({ method: "PUT", key, query, body }, patience);
  throwAway(answer);
  const { etag } = answer.headers;
  if (!etag || !/^"?[\w-]+"?$/.test(etag)) throw new ObjectStorageUnavailable("it named no tag of a part", false);
  return etag.replaceAll('"', "");
}

function completionOf(tags: readonly string[]): string {
  const parts = tags.map(
    (tag, index) => `<Part><PartNumber>${index + 1}</PartNumber><ETag>&quot;${tag}&quot;</ETag></Part>`,
  );
  return `<CompleteMultipartUpload>${parts.join("")}</CompleteMultipartUpload>`;
}

function inXml(document: string, name: string): string {
  let text: string | null;
  try {
    text = textOf(elementsOf(document), name);
  } catch (error) {
    throw unavailable(error);
  }
  if (text === null) throw new ObjectStorageUnavailable(`its answer has no ${name}`, true);
  return text;
}
