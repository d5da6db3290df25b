package io.github.tidewarden.audit;

import com.fasterxml.jackson.core.JsonFactory;
import com.fasterxml.jackson.core.JsonFactoryBuilder;
import com.fasterxml.jackson.core.JsonGenerator;
import com.fasterxml.jackson.core.StreamReadConstraints;
import com.fasterxml.jackson.databind.DeserializationFeature;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.io.OutputStream;
import java.util.Objects;

/** A trace's lines: one JSON object each, with the kind of entry as its only key. */
final class TraceFormat {

  /** The longest line: the state of fifty tanks is well below it. */
  static final int MOST_LINE_BYTES = 16 * 1024 * 1024;

  private static final JsonFactory JSON =
      new JsonFactoryBuilder()
          .rootValueSeparator("")
          .streamReadConstraints(
              StreamReadConstraints.builder()
                  .maxStringLength(MOST_LINE_BYTES)
                  .maxDocumentLength(MOST_LINE_BYTES)
                  .build())
          .build();
  private static final ObjectMapper MAPPER =
      new ObjectMapper(JSON).enable(DeserializationFeature.USE_BIG_DECIMAL_FOR_FLOATS);

  private TraceFormat() {}

  /** Writes lines to a stream. */
  static JsonGenerator writer(OutputStream out) throws IOException {
    return JSON.createGenerator(out);
  }

  static void write(JsonGenerator writer, TraceEntry entry) throws IOException {
    TraceValues.write(writer, TraceEntry.class, entry);
    writer.writeRaw('\n');
  }

  /**
   * Reads a line, given without its newline.
   *
   * @throws IllegalArgumentException if it is none that this version can read
   */
  static TraceEntry read(byte[] block, int from, int to) {
    try {
      return (TraceEntry)
          Objects.requireNonNull(
              TraceValues.read(MAPPER.readTree(block, from, to - from), TraceEntry.class));
    } catch (IOException | RuntimeException e) {
      throw new IllegalArgumentException("not a line of a trace: " + e.getMessage(), e);
    }
  }
}
