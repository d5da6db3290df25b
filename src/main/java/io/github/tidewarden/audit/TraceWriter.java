package io.github.tidewarden.audit;

import com.fasterxml.jackson.core.JsonGenerator;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.DirectoryStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * Writes the files of a trace, block by block, never synced, and keeps them within bounds. Used by
 * one thread.
 */
final class TraceWriter {

  /** Nights that are kept. */
  static final int MOST_NIGHTS = 14;

  /** What all files together take at most, beside the one that is being written, bytes. */
  static final long MOST_BYTES = 512L * 1024 * 1024;

  /** Most files: a daemon that starts again and again begins one each time. */
  static final int MOST_FILES = 1_000;

  /** A file that is larger is followed by another, so that the oldest can go, bytes. */
  static final long MOST_FILE_BYTES = 32L * 1024 * 1024;

  /** With less room than this on the disk nothing is traced: it is the audit's, bytes. */
  static final long LEAST_FREE_BYTES = 128L * 1024 * 1024;

  /** A block ends at this size, bytes before compression, */
  static final int BLOCK_BYTES = 256 * 1024;

  /** or at this age; it is what a crash loses. */
  static final long BLOCK_NANOS = TimeUnit.SECONDS.toNanos(10);

  private final Path directory;
  private final String program;
  private final String configDigest;
  private final String site;
  private final ByteArrayOutputStream block = new ByteArrayOutputStream(BLOCK_BYTES + 4096);
  private @Nullable JsonGenerator lines;
  private @Nullable OutputStream file;
  private @Nullable LocalDate night;
  private long fileBytes;
  private long blockBeganNanos;

  /**
   * Touches nothing before {@link #begin}.
   *
   * @param directory is made when it is not there
   * @param program the version that writes
   * @param configDigest fingerprint of the configuration
   * @param site the site's name
   */
  TraceWriter(Path directory, String program, String configDigest, String site) {
    this.directory = directory;
    this.program = program;
    this.configDigest = configDigest;
    this.site = site;
  }

  /** Begins a file, after the last block of the one before. */
  void begin(LocalDate name) throws IOException {
    close();
    Files.createDirectories(directory);
    mustHaveRoom();
    keepWithinBounds();
    file =
        Files.newOutputStream(
            directory.resolve(free(name).toString()),
            StandardOpenOption.CREATE_NEW,
            StandardOpenOption.WRITE);
    night = name;
    fileBytes = 0;
    write(new TraceEntry.Opened(TraceEntry.FORMAT, program, configDigest, site, name));
  }

  /** The night of the file that is being written; null for none. */
  @Nullable LocalDate night() {
    return night;
  }

  boolean isFull() {
    return fileBytes >= MOST_FILE_BYTES;
  }

  void write(TraceEntry entry) throws IOException {
    JsonGenerator writer = lines;
    if (writer == null) {
      writer = TraceFormat.writer(block);
      lines = writer;
      blockBeganNanos = System.nanoTime();
    }
    TraceFormat.write(writer, entry);
    writer.flush();
    if (block.size() >= BLOCK_BYTES) {
      endBlock();
    }
  }

  /** Ends the block if it is old. */
  void passTime() throws IOException {
    if (lines != null && System.nanoTime() - blockBeganNanos >= BLOCK_NANOS) {
      endBlock();
    }
  }

  private void endBlock() throws IOException {
    OutputStream out = file;
    lines = null;
    byte[] bytes = block.toByteArray();
    block.reset();
    if (out != null && bytes.length > 0) {
      mustHaveRoom();
      byte[] member = TraceBlock.compress(bytes);
      out.write(member);
      fileBytes += member.length;
    }
  }

  /** Ends the last block and the file. */
  void close() throws IOException {
    try (OutputStream closing = file) {
      if (closing != null) {
        endBlock();
      }
    } finally {
      abandon();
    }
  }

  /** Forgets what is not written; the disk has failed. */
  void abandon() {
    OutputStream out = file;
    file = null;
    night = null;
    lines = null;
    block.reset();
    if (out != null) {
      try {
        out.close();
      } catch (IOException e) {
        // What was to be written has failed already.
      }
    }
  }

  private void mustHaveRoom() throws IOException {
    if (Files.getFileStore(directory).getUsableSpace() < LEAST_FREE_BYTES) {
      throw new IOException(
          "less than "
              + LEAST_FREE_BYTES / (1024 * 1024)
              + " MiB are free on the disk, and the audit needs them more");
    }
  }

  private TraceName free(LocalDate name) throws IOException {
    int number = 0;
    for (TraceName known : names(directory)) {
      if (known.night().equals(name)) {
        number = Math.max(number, known.number() + 1);
      }
    }
    return new TraceName(name, number);
  }

  /** The oldest go first. */
  private void keepWithinBounds() throws IOException {
    List<TraceName> newestFirst = names(directory);
    Collections.reverse(newestFirst);
    Set<LocalDate> nights = new TreeSet<>();
    long bytes = 0;
    int files = 0;
    for (TraceName known : newestFirst) {
      Path path = directory.resolve(known.toString());
      nights.add(known.night());
      bytes += Files.size(path);
      files++;
      if (nights.size() > MOST_NIGHTS || bytes > MOST_BYTES || files >= MOST_FILES) {
        Files.delete(path);
      }
    }
  }

  /** The files of a trace, oldest first; empty when there is no such directory. */
  static List<TraceName> names(Path directory) throws IOException {
    List<TraceName> names = new ArrayList<>();
    if (!Files.isDirectory(directory)) {
      return names;
    }
    try (DirectoryStream<Path> entries = Files.newDirectoryStream(directory)) {
      for (Path entry : entries) {
        TraceName name = TraceName.parse(String.valueOf(entry.getFileName()));
        if (name != null) {
          names.add(name);
        }
      }
    }
    Collections.sort(names);
    return names;
  }
}
