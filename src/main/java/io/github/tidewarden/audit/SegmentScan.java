package io.github.tidewarden.audit;

import io.github.tidewarden.audit.LineReader.RawLine;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import java.io.IOException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * One segment read from its checkpoint to its end, as far as it is good. Each record is checked
 * against the one before it; that the segment follows the one before is not looked at here.
 */
final class SegmentScan {

  private final SegmentName name;
  private final List<AuditRecord> records = new ArrayList<>();
  private @Nullable Checkpoint checkpoint;
  private Head head = Head.NONE;
  private Head writtenHead = Head.NONE;
  private @Nullable RawLine torn;
  private @Nullable String damage;
  private boolean unreadable;

  private SegmentScan(SegmentName name) {
    this.name = name;
  }

  static SegmentScan of(AuditFiles files, SegmentName name) {
    SegmentScan scan = new SegmentScan(name);
    try (LineReader lines = new LineReader(files.read(name.toString()))) {
      for (RawLine line = lines.next(); line != null; line = lines.next()) {
        scan.line(line);
      }
    } catch (IOException e) {
      scan.unreadable = true;
      scan.damage = name + " cannot be read: " + e.getMessage();
    }
    return scan;
  }

  /** Good records after the checkpoint. */
  List<AuditRecord> records() {
    return records;
  }

  /** What the segment opens with; null if that is not good. */
  @Nullable Checkpoint checkpoint() {
    return checkpoint;
  }

  /** The last number and hash that stand in the file, whether or not they are right. */
  Head writtenHead() {
    return writtenHead;
  }

  /** The bytes after the last newline; null if there are none. */
  @Nullable RawLine torn() {
    return torn;
  }

  /** The first thing wrong, with its place; null if nothing is. */
  @Nullable String damage() {
    return damage;
  }

  /** Whether there may be records that could not be read at all. */
  boolean unreadable() {
    return unreadable;
  }

  /**
   * Whether the bytes after a file's last newline are a whole record and one byte more. A write cut
   * short is always shorter than that: it was a newline that has been damaged.
   */
  static boolean isRecordWithDamagedNewline(byte[] bytes) {
    if (bytes.length < 2) {
      return false;
    }
    try {
      LineFormat.decode(Arrays.copyOf(bytes, bytes.length - 1));
      return true;
    } catch (BadLineException e) {
      return false;
    }
  }

  private void line(RawLine line) {
    if (!line.complete) {
      torn = line;
      if (damage == null && isRecordWithDamagedNewline(line.bytes)) {
        damage = at(line, "its newline is damaged");
      }
      return;
    }
    String hash = LineFormat.writtenHash(line.bytes);
    long seq = LineFormat.writtenSeq(line.bytes);
    if (hash != null && seq > writtenHead.seq()) {
      writtenHead = new Head(seq, hash);
    }
    if (damage == null) {
      try {
        take(line);
      } catch (BadLineException e) {
        damage = at(line, String.valueOf(e.getMessage()));
      }
    }
  }

  private void take(RawLine raw) throws BadLineException {
    AuditLine line = LineFormat.decode(raw.bytes);
    if (raw.number == 1) {
      checkpoint = Checkpoint.read(raw.bytes, line);
    } else {
      mustFollow(head, raw.bytes, line);
      records.add(line.record());
    }
    head = new Head(line.seq(), line.hash());
  }

  /**
   * Whether a line is the one after {@code before}, and not a checkpoint.
   *
   * @throws BadLineException if not
   */
  static void mustFollow(Head before, byte[] bytes, AuditLine line) throws BadLineException {
    if (line.record().kind() == Kind.CHECKPOINT) {
      throw new BadLineException("a checkpoint inside a segment");
    }
    if (line.seq() != before.seq() + 1) {
      throw new BadLineException("seq " + line.seq() + " follows " + before.seq());
    }
    if (!LineFormat.isHashedAfter(before.hash(), bytes, line)) {
      throw new BadLineException("does not match its hash");
    }
  }

  private String at(RawLine line, String what) {
    return name + ":" + line.number + ": " + what;
  }
}
