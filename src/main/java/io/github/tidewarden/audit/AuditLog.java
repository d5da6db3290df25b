package io.github.tidewarden.audit;

import io.github.tidewarden.audit.LineFormat.Encoded;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import java.io.Closeable;
import java.io.IOException;
import java.io.InputStream;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Writes the chain, segment by segment, on the thread that calls it.
 *
 * <p>A file is written by one life of the daemon and never opened for writing again. It opens with
 * a checkpoint that is durable before anything follows it. A write or a sync that fails ends the
 * segment for good, since after a failed sync the system counts lost pages as clean: what was not
 * known to be durable is taken back, and the next append opens a new file whose checkpoint goes on
 * from the last durable record and names what it supersedes. Until that opening succeeds it is
 * tried again with the same bytes, so a file left over from a failed one holds nothing of its own.
 *
 * <p>A new segment also begins when the night changes, when this one has {@link
 * #MOST_SEGMENT_BYTES}, and at start.
 *
 * @param <S> the durable state
 */
public final class AuditLog<S> implements Closeable {

  /** Records that may wait for a sync; before one more the log syncs by itself. */
  public static final int MOST_UNSYNCED = 256;

  /** Size from which a segment takes no more records, so that recovery has little to read. */
  static final long MOST_SEGMENT_BYTES = 2L * 1024 * 1024;

  private final AuditFiles files;
  private final Fold<S> fold;
  private Position<S> durable;
  private Position<S> written;

  /** Whether the state has effects of records that no file has. */
  private boolean stateIsAhead;

  /** Hashes of what was handed to the disk since {@link #durable}. */
  private final List<String> unsynced = new ArrayList<>();

  private @Nullable String broken;
  private long tornBytes;
  private @Nullable LocalDate newestNight;
  private @Nullable Segment segment;
  private @Nullable Opening opening;

  /** A place in the chain, and the state there. */
  private record Position<S>(Head head, S state) {}

  /** The line that opens the next segment, kept the same until it is on the disk. */
  private record Opening(Encoded line, Head head) {}

  private static final class Segment {
    final AuditFiles.Appender file;
    final LocalDate night;
    long bytes;

    Segment(AuditFiles.Appender file, LocalDate night, long bytes) {
      this.file = file;
      this.night = night;
      this.bytes = bytes;
    }
  }

  /**
   * A log that goes on where recovery ended. Touches no file before the first append.
   *
   * @param state the durable state that recovery gave, with everything latched if it was
   *     untrustworthy
   */
  public AuditLog(AuditFiles files, Recovery recovery, S state, Fold<S> fold) {
    this.files = files;
    this.fold = fold;
    this.newestNight = recovery.newestNight();
    this.broken = recovery.trust() == Recovery.Trust.UNTRUSTWORTHY ? recovery.detail() : null;
    this.tornBytes = recovery.tornBytes();
    this.durable = new Position<>(new Head(recovery.lastSeq(), recovery.lastHash()), state);
    this.written = durable;
  }

  /**
   * Writes one record; it is durable after the next {@link #sync}.
   *
   * @param night the night's date; that of an untrusted clock counts only if there is no segment
   *     yet
   * @return the record's number and hash
   * @throws RecordRefusedException if it is not one that can be written; nothing was, and the log
   *     goes on
   * @throws IOException if the disk failed: this record and all after {@link #durable} are taken
   *     back, and must be given again if they are still wanted
   */
  public Head append(AuditRecord record, LocalDate night) throws IOException {
    if (record.kind() == Kind.CHECKPOINT) {
      throw new RecordRefusedException("checkpoints are written by the log itself");
    }
    Encoded line = next(record);
    S after = applied(written, record);
    LocalDate named = record.trusted() || newestNight == null ? night : newestNight;
    Segment open = segment;
    if (open == null || isFull(open) || stateIsAhead || !open.night.equals(named)) {
      open = roll(record, named);
      line = next(record);
      after = applied(written, record);
    } else if (unsynced.size() >= MOST_UNSYNCED) {
      sync();
    }
    unsynced.add(line.hash);
    try {
      open.file.append(line.bytes);
    } catch (Throwable e) {
      endSegment();
      throw e;
    }
    open.bytes += line.bytes.length;
    written = new Position<>(new Head(written.head.seq() + 1, line.hash), after);
    return written.head;
  }

  /**
   * Makes every record appended so far durable.
   *
   * @return the end of the chain
   * @throws IOException if the disk failed: all records after {@link #durable} are taken back
   */
  public Head sync() throws IOException {
    Segment open = segment;
    if (open != null && !unsynced.isEmpty()) {
      try {
        open.file.force();
      } catch (Throwable e) {
        endSegment();
        throw e;
      }
      unsynced.clear();
      durable = written;
    }
    return durable.head;
  }

  /**
   * Keeps a record's effect on the state though the record itself is lost: the next append opens a
   * segment whose checkpoint has it, so that a full disk makes nobody forget a latch.
   */
  public void absorb(AuditRecord record) {
    S writtenAfter = applied(written, record);
    durable = new Position<>(durable.head, applied(durable, record));
    written = new Position<>(written.head, writtenAfter);
    stateIsAhead = true;
  }

  /**
   * Goes on from a state that has all of this one's records and others whose lines are lost; the
   * next append opens a segment whose checkpoint has it. Only while nothing is unsynced.
   */
  void overtake(S state) {
    durable = new Position<>(durable.head, state);
    written = durable;
    stateIsAhead = true;
  }

  /** How the state follows from records. */
  Fold<S> fold() {
    return fold;
  }

  /** Ends the segment as a failure does: records since the last sync are taken back. */
  public void endSegment() {
    close();
    written = durable;
  }

  /** The last record that is known to be durable. */
  public Head durable() {
    return durable.head;
  }

  /** The state after every record written, and not taken back, so far. */
  public S state() {
    return written.state;
  }

  /** Closes the file. Syncs nothing. */
  @Override
  public void close() {
    Segment open = segment;
    segment = null;
    if (open != null) {
      closeQuietly(open.file);
    }
  }

  private Encoded next(AuditRecord record) {
    return LineFormat.encode(written.head.seq() + 1, record, written.head.hash());
  }

  private S applied(Position<S> before, AuditRecord record) {
    try {
      return fold.apply(before.state, record);
    } catch (RuntimeException e) {
      throw new RecordRefusedException("the state cannot take it: " + e, e);
    }
  }

  private static boolean isFull(Segment open) {
    return open.bytes >= MOST_SEGMENT_BYTES;
  }

  /** Ends the segment that is open, if any, and opens one whose checkpoint has the whole state. */
  private Segment roll(AuditRecord record, LocalDate night) throws IOException {
    sync();
    Segment open;
    do { // twice if something was absorbed while an earlier opening was being tried
      close();
      open = open(record, night);
      segment = open;
    } while (stateIsAhead);
    newestNight = night;
    return open;
  }

  private Segment open(AuditRecord record, LocalDate night) throws IOException {
    if (opening == null) {
      opening = opening(record);
      stateIsAhead = false;
      unsynced.clear();
    }
    byte[] line = opening.line.bytes;
    String name = freeName(night);
    AuditFiles.Appender file = files.create(name);
    try {
      file.append(line);
      file.force();
      files.syncDirectory();
      if (!holds(name, line)) {
        throw new IOException(name + " does not read back as it was written");
      }
      files.markBegun();
    } catch (Throwable e) {
      closeQuietly(file);
      removeQuietly(name, e);
      throw e;
    }
    durable = new Position<>(opening.head, durable.state);
    written = durable;
    opening = null;
    broken = null;
    tornBytes = 0;
    return new Segment(file, night, line.length);
  }

  private Opening opening(AuditRecord first) throws IOException {
    try {
      Checkpoint checkpoint =
          new Checkpoint(
              durable.head.hash(),
              fold.checkpoint(durable.state),
              List.copyOf(unsynced),
              tornBytes,
              broken);
      AuditRecord record =
          new AuditRecord(
              first.at(),
              first.trusted(),
              first.monoMillis(),
              "",
              Kind.CHECKPOINT,
              "the state so far, at the start of a file",
              checkpoint.fields());
      long seq = durable.head.seq() + 1;
      Encoded line = LineFormat.encode(seq, record, durable.head.hash());
      return new Opening(line, new Head(seq, line.hash));
    } catch (RuntimeException e) {
      throw new IOException("the state cannot be written: " + e.getMessage(), e);
    }
  }

  private String freeName(LocalDate night) throws IOException {
    int number = 0;
    for (String file : files.list()) {
      SegmentName name = SegmentName.parse(file);
      if (name != null && name.night().equals(night)) {
        number = Math.max(number, name.number() + 1);
      }
    }
    return new SegmentName(night, number).toString();
  }

  private boolean holds(String name, byte[] line) throws IOException {
    try (InputStream in = files.read(name)) {
      return Arrays.equals(in.readNBytes(line.length + 1), line);
    }
  }

  private static void closeQuietly(AuditFiles.Appender file) {
    try {
      file.close();
    } catch (IOException ignored) {
      // what had to be durable was synced before; the rest is taken back in any case
    }
  }

  /** A file that stays is harmless: it holds at most the line that the next one opens with. */
  private void removeQuietly(String name, Throwable cause) {
    try {
      files.remove(name);
    } catch (IOException e) {
      cause.addSuppressed(e);
    }
  }
}
