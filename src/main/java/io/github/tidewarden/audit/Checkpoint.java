package io.github.tidewarden.audit;

import io.github.tidewarden.control.Kind;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * The fields of the record that opens a segment.
 *
 * @param previous hash of the record before it, so that this one can be checked without that one
 * @param state the durable state after the record before it
 * @param superseded hashes of records that were handed to the disk after that record but never
 *     known to be durable: if they are found at the end of the segment before, they are void
 * @param tornBytes bytes of an unfinished write that are still at the end of the segment before,
 *     because they could not be moved aside; 0 for none
 * @param broken why the chain before this segment cannot be relied on; null if it can
 */
record Checkpoint(
    String previous,
    Map<String, Object> state,
    List<String> superseded,
    long tornBytes,
    @Nullable String broken) {

  /** The format that this program writes. It reads no other yet. */
  static final long FORMAT_VERSION = 1;

  private static final String VERSION_FIELD = "version";

  /** Whether the segment before may end in what is not a record. */
  boolean voidsTail() {
    return !superseded.isEmpty() || tornBytes > 0;
  }

  Map<String, Object> fields() {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(VERSION_FIELD, FORMAT_VERSION);
    fields.put("previous", previous);
    if (!superseded.isEmpty()) {
      fields.put("superseded", superseded);
    }
    if (tornBytes > 0) {
      fields.put("torn-bytes", tornBytes);
    }
    if (broken != null) {
      fields.put("broken", broken);
    }
    fields.put("state", state);
    return fields;
  }

  /**
   * Reads the line that opens a segment, and checks it against the hash that it names itself.
   *
   * @param line without its newline
   * @throws BadLineException if it is not a checkpoint, is damaged, or is of another format
   */
  static Checkpoint read(byte[] line, AuditLine read) throws BadLineException {
    Map<String, Object> fields = read.record().fields();
    if (read.record().kind() != Kind.CHECKPOINT) {
      throw new BadLineException("the segment does not open with a checkpoint");
    }
    if (!(fields.get(VERSION_FIELD) instanceof Long version)) {
      throw new BadLineException("a checkpoint without a format version");
    }
    if (version != FORMAT_VERSION) {
      throw new BadLineException(
          "format version " + version + ", and this program knows only " + FORMAT_VERSION);
    }
    if (!(fields.get("previous") instanceof String previous)
        || !LineFormat.isHashedAfter(previous, line, read)) {
      throw new BadLineException("the checkpoint does not match its hash");
    }
    if (!(fields.get("state") instanceof Map<?, ?> state)) {
      throw new BadLineException("a checkpoint without a state");
    }
    return new Checkpoint(
        previous,
        named(state),
        strings(fields.get("superseded")),
        fields.get("torn-bytes") instanceof Long bytes ? bytes : 0,
        fields.get("broken") instanceof String broken ? broken : null);
  }

  private static Map<String, Object> named(Map<?, ?> map) {
    Map<String, Object> named = new LinkedHashMap<>();
    map.forEach((name, value) -> named.put((String) name, value));
    return named;
  }

  private static List<String> strings(@Nullable Object value) {
    List<String> strings = new ArrayList<>();
    if (value instanceof List<?> list) {
      list.forEach(element -> strings.add(String.valueOf(element)));
    }
    return strings;
  }
}
