package io.github.tidewarden.audit;

import io.github.tidewarden.audit.LineReader.RawLine;
import io.github.tidewarden.audit.Recovery.SetAside;
import io.github.tidewarden.audit.Recovery.Trust;
import io.github.tidewarden.audit.SegmentIndex.Entry;
import io.github.tidewarden.audit.SegmentIndex.Problem;
import java.io.IOException;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.StringJoiner;
import org.jspecify.annotations.Nullable;

/**
 * Reads the log back at start: the newest segment whole, and of the others only where they begin.
 *
 * <p>A record counts from its newline on. What follows the last newline was never acknowledged: it
 * is moved aside and the log is good. A whole line that is not the record that belongs there may
 * have been a latch: the log is not to be trusted, and stays as it is. The same holds where a log
 * was begun and no segment of it is left.
 */
public final class AuditRecovery {

  /** Further than any number that an unreadable file could hold; still exact in a double. */
  static final long UNKNOWN_STRETCH = 1_000_000_000_000L;

  private final AuditFiles files;
  private final SegmentIndex index;
  private final @Nullable Entry newest;
  private final @Nullable SegmentScan scan;
  private final List<SetAside> setAside = new ArrayList<>();
  private String unmoved = "";
  private boolean gone;

  private AuditRecovery(AuditFiles files, SegmentIndex index) {
    this.files = files;
    this.index = index;
    this.newest = index.newest();
    this.scan = newest == null ? null : SegmentScan.of(files, newest.name());
  }

  /**
   * What the log says. Never throws for what is on the disk, nor for a disk that cannot be read.
   */
  public static Recovery recover(AuditFiles files) {
    SegmentIndex index;
    try {
      index = SegmentIndex.read(files);
    } catch (IOException e) {
      String detail = "the audit directory cannot be read: " + e.getMessage();
      return new Recovery(
          List.of(),
          Map.of(),
          UNKNOWN_STRETCH,
          Hash.NONE,
          Trust.UNTRUSTWORTHY,
          detail,
          List.of(),
          null);
    }
    return new AuditRecovery(files, index).recover();
  }

  private Recovery recover() {
    String damage;
    try {
      damage = damage();
      if (damage == null) {
        makeDurable();
      }
    } catch (IOException e) {
      damage = "the audit cannot be read or synced: " + e.getMessage();
    }
    if (damage != null) {
      return result(Trust.UNTRUSTWORTHY, damage);
    }
    if (!setAside.isEmpty()) {
      return result(Trust.TAIL_SET_ASIDE, told());
    }
    return result(newest == null ? Trust.FRESH : Trust.GOOD, "");
  }

  private @Nullable String damage() throws IOException {
    gone = newest == null && index.problems().isEmpty() && files.isBegun();
    if (gone) {
      return "an audit was begun here, and no segment of it is left";
    }
    if (!index.problems().isEmpty()) {
      Problem problem = index.problems().get(0);
      return problem.name()
          + " "
          + problem.reason()
          + "; the log is in doubt at every start until the file is moved out of its directory";
    }
    for (SegmentName torn : index.torn()) {
      RawLine line = firstLine(torn);
      if (line != null && SegmentScan.isRecordWithDamagedNewline(line.bytes)) {
        return torn + ":1: its newline is damaged";
      }
    }
    if (scan == null || newest == null) {
      return null;
    }
    Checkpoint checkpoint = scan.checkpoint();
    if (scan.damage() != null || checkpoint == null) {
      return scan.damage();
    }
    if (checkpoint.broken() == null) {
      return badLink(newest, checkpoint);
    }
    return scan.records().isEmpty()
        ? newest.name() + ":1: nothing was recorded since the log was found damaged"
        : null;
  }

  /** Why the newest segment does not follow the one before it; null if it does. */
  private @Nullable String badLink(Entry segment, Checkpoint checkpoint) throws IOException {
    int place = index.segments().size() - 1;
    String found = Hash.NONE;
    if (place > 0) {
      found = hashOf(index.segments().get(place - 1).name(), segment.firstSeq() - 1);
    } else if (segment.firstSeq() > 1) {
      return null; // what was before it is no longer kept
    }
    return checkpoint.previous().equals(found)
        ? null
        : segment.name() + ":1: does not follow the segment before it; one is missing or altered";
  }

  /** The hash that stands in the line with this seq; null if there is no such line. */
  private @Nullable String hashOf(SegmentName name, long seq) throws IOException {
    try (LineReader lines = new LineReader(files.read(name.toString()))) {
      for (RawLine line = lines.next(); line != null; line = lines.next()) {
        if (line.complete && LineFormat.writtenSeq(line.bytes) == seq) {
          return LineFormat.writtenHash(line.bytes);
        }
      }
    }
    return null;
  }

  /**
   * What was read may be known to the system only and not be on the disk yet; and what is torn goes
   * out of the way.
   */
  private void makeDurable() throws IOException {
    if (newest != null && scan != null) {
      files.force(newest.name().toString());
      RawLine torn = scan.torn();
      if (torn != null) {
        moveAside(newest.name(), torn.offset, torn.length);
      }
    }
    for (SegmentName torn : index.torn()) {
      RawLine line = firstLine(torn);
      moveAside(torn, 0, line == null ? 0 : line.length);
    }
  }

  private @Nullable RawLine firstLine(SegmentName name) throws IOException {
    try (LineReader lines = new LineReader(files.read(name.toString()))) {
      return lines.next();
    }
  }

  /** A full disk has no room for a copy; the log is no worse for what stays where it is. */
  private void moveAside(SegmentName name, long offset, long bytes) {
    String movedTo = "";
    try {
      movedTo = files.setAside(name.toString(), offset);
    } catch (IOException e) {
      unmoved = String.valueOf(e.getMessage());
    }
    setAside.add(new SetAside(name.toString(), offset, bytes, movedTo));
  }

  private String told() {
    StringJoiner told = new StringJoiner("; ");
    for (SetAside one : setAside) {
      String where = one.bytes() + " bytes of an unfinished write ";
      told.add(
          one.movedTo().isEmpty()
              ? where + "left in " + one.segment() + ", they could not be moved: " + unmoved
              : where + "moved from " + one.segment() + " to " + one.movedTo());
    }
    return told.toString();
  }

  private Recovery result(Trust trust, String detail) {
    Checkpoint checkpoint = scan == null ? null : scan.checkpoint();
    Head end = scan == null ? Head.NONE : scan.writtenHead();
    boolean unknown = gone || !index.problems().isEmpty() || (scan != null && scan.unreadable());
    LocalDate night = newest == null ? null : newest.name().night();
    return new Recovery(
        scan == null ? List.of() : scan.records(),
        checkpoint == null ? Map.of() : checkpoint.state(),
        end.seq() + (unknown ? UNKNOWN_STRETCH : 0),
        end.hash(),
        trust,
        detail,
        setAside,
        night);
  }
}
