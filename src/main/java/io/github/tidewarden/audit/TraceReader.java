package io.github.tidewarden.audit;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.LocalDate;
import java.util.List;

/** Reads a trace, while it is written too. */
public final class TraceReader {

  /** Hears what is read, in order. */
  public interface Visitor {

    /** A line. */
    void entry(TraceEntry entry);

    /**
     * What follows in a file is not whole or cannot be understood.
     *
     * @param where in which file
     * @param what in the keeper's words
     */
    void damaged(String where, String what);
  }

  private TraceReader() {}

  /**
   * The nights of which there is a trace, oldest first.
   *
   * @param directory the trace's directory; it need not be there
   * @throws IOException if it cannot be read
   */
  public static List<LocalDate> nights(Path directory) throws IOException {
    return TraceWriter.names(directory).stream().map(TraceName::night).distinct().toList();
  }

  /**
   * Reads a night.
   *
   * @param directory the trace's directory; it need not be there
   * @throws IOException if a file cannot be read
   */
  public static void read(Path directory, LocalDate night, Visitor visitor) throws IOException {
    for (TraceName name : TraceWriter.names(directory)) {
      if (name.night().equals(night)) {
        read(name.toString(), Files.readAllBytes(directory.resolve(name.toString())), visitor);
      }
    }
  }

  private static void read(String name, byte[] file, Visitor visitor) {
    TraceBlock.Reader blocks = new TraceBlock.Reader(file);
    for (byte[] block = blocks.next(); block != null; block = blocks.next()) {
      int from = 0;
      for (int to = 0; to < block.length; to++) {
        if (block[to] == '\n') {
          TraceEntry entry;
          try {
            entry = TraceFormat.read(block, from, to);
          } catch (IllegalArgumentException e) {
            visitor.damaged(name, String.valueOf(e.getMessage()));
            return;
          }
          visitor.entry(entry);
          from = to + 1;
        }
      }
    }
    if (blocks.left() > 0) {
      visitor.damaged(name, blocks.left() + " bytes at its end are no whole block");
    }
  }
}
