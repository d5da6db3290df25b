package io.github.tidewarden.audit;

import io.github.tidewarden.audit.LineReader.RawLine;
import io.github.tidewarden.audit.SegmentIndex.Entry;
import io.github.tidewarden.audit.SegmentIndex.Problem;
import java.io.IOException;
import java.util.Arrays;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Reads a whole log in the order of the chain, and says where the chain does not hold. After damage
 * it goes on from what the lines say of themselves, so that one bad line does not hide the rest.
 *
 * <p>Where a write or a sync failed, the end of a segment can have records that the next segment
 * goes back before. They are void, and passed over, if that segment's checkpoint names them by
 * their hashes; any other record there is bad.
 */
public final class AuditReader {

  private final AuditFiles files;
  private final Visitor visitor;
  private boolean begun;
  private @Nullable Head expectedAfter;

  /**
   * Where something is.
   *
   * @param file the segment
   * @param line from 1
   */
  public record Place(String file, long line) {
    @Override
    public String toString() {
      return file + ":" + line;
    }
  }

  /** Hears what is read, in order. */
  public interface Visitor {

    /**
     * A record.
     *
     * @param sound whether it follows the record before it, byte for byte
     */
    void record(Place place, AuditLine line, boolean sound);

    /** Something in the log is not as it was written. */
    void bad(Place place, String reason);

    /** Something that looks odd and is in order. */
    void note(Place place, String text);
  }

  private AuditReader(AuditFiles files, Visitor visitor) {
    this.files = files;
    this.visitor = visitor;
  }

  /**
   * Reads all segments.
   *
   * @throws IOException if the directory cannot be read; a file that cannot is a bad place
   */
  public static void read(AuditFiles files, Visitor visitor) throws IOException {
    new AuditReader(files, visitor).read();
  }

  private void read() throws IOException {
    SegmentIndex index = SegmentIndex.read(files);
    for (Problem problem : index.problems()) {
      visitor.bad(new Place(problem.name().toString(), 1), problem.reason());
    }
    List<Entry> segments = index.segments();
    for (int i = 0; i < segments.size(); i++) {
      Entry next = i + 1 < segments.size() ? segments.get(i + 1) : null;
      new SegmentWalk(segments.get(i).name(), next).walk();
    }
    for (SegmentName spare : index.spare()) {
      visitor.note(new Place(spare.toString(), 1), "left by an opening that was tried again");
    }
    for (SegmentName torn : index.torn()) {
      tornOpening(torn, segments);
    }
  }

  private void tornOpening(SegmentName torn, List<Entry> segments) {
    Place place = new Place(torn.toString(), 1);
    try {
      RawLine left = firstLine(torn);
      for (Entry segment : segments) {
        RawLine opening = firstLine(segment.name());
        if (left == null || (opening != null && isStartOf(left.bytes, opening.bytes))) {
          visitor.note(place, "left by an opening that was tried again");
          return;
        }
      }
      visitor.bad(place, "no whole line");
    } catch (IOException e) {
      visitor.bad(place, "cannot be read: " + e.getMessage());
    }
  }

  private static boolean isStartOf(byte[] start, byte[] whole) {
    return start.length <= whole.length
        && Arrays.equals(start, 0, start.length, whole, 0, start.length);
  }

  private @Nullable RawLine firstLine(SegmentName name) throws IOException {
    try (LineReader lines = new LineReader(files.read(name.toString()))) {
      return lines.next();
    }
  }

  private @Nullable Checkpoint checkpointOf(@Nullable Entry next) {
    if (next != null) {
      try {
        RawLine line = firstLine(next.name());
        if (line != null) {
          return Checkpoint.read(line.bytes, LineFormat.decode(line.bytes));
        }
      } catch (IOException | BadLineException e) {
        return null; // said when that segment is read itself
      }
    }
    return null;
  }

  /** One segment, in the light of the one after it. */
  private final class SegmentWalk {

    private final SegmentName name;
    private final @Nullable Entry next;
    private final List<String> superseded;
    private final boolean tailIsVoid;
    private int voidRecords;
    private int voidLines;

    SegmentWalk(SegmentName name, @Nullable Entry next) {
      this.name = name;
      this.next = next;
      Checkpoint after = checkpointOf(next);
      this.superseded = after == null ? List.of() : after.superseded();
      this.tailIsVoid = after != null && after.voidsTail();
    }

    void walk() {
      Place end = new Place(name.toString(), 1);
      try (LineReader lines = new LineReader(files.read(name.toString()))) {
        for (RawLine raw = lines.next(); raw != null; raw = lines.next()) {
          end = new Place(name.toString(), raw.number);
          one(raw, end);
        }
      } catch (IOException e) {
        visitor.bad(end, "cannot be read: " + e.getMessage());
        expectedAfter = null;
      }
      if (voidRecords + voidLines > 0) {
        visitor.note(
            end,
            "ends in a failed write: "
                + voidRecords
                + " void records and "
                + voidLines
                + " other lines; the next segment goes on before them");
      }
    }

    private void one(RawLine raw, Place place) {
      if (raw.number > 1 && isPastNext()) {
        pastNext(raw, place);
      } else if (!raw.complete) {
        visitor.bad(place, "a line without its end, " + raw.length + " bytes");
      } else {
        try {
          follow(raw, place);
        } catch (BadLineException e) {
          visitor.bad(place, String.valueOf(e.getMessage()));
          resume(raw);
        }
      }
    }

    private boolean isPastNext() {
      Head before = expectedAfter;
      return next != null && before != null && before.seq() + 1 >= next.firstSeq();
    }

    private void follow(RawLine raw, Place place) throws BadLineException {
      AuditLine line = LineFormat.decode(raw.bytes);
      Head before = expectedAfter;
      boolean sound = true;
      try {
        if (raw.number == 1) {
          opens(raw, line, place);
        } else if (before == null) {
          sound = false;
        } else {
          SegmentScan.mustFollow(before, raw.bytes, line);
        }
      } catch (BadLineException e) {
        visitor.bad(place, String.valueOf(e.getMessage()));
        sound = false;
      }
      begun = true;
      expectedAfter = new Head(line.seq(), line.hash());
      visitor.record(place, line, sound);
    }

    private void opens(RawLine raw, AuditLine line, Place place) throws BadLineException {
      Checkpoint checkpoint = Checkpoint.read(raw.bytes, line);
      Head before = expectedAfter;
      if (checkpoint.broken() != null) {
        throw new BadLineException(
            "the log before this segment was found damaged at a start: " + checkpoint.broken());
      }
      if (!begun) {
        if (line.seq() > 1) {
          visitor.note(place, "the log begins with seq " + line.seq());
        } else if (!checkpoint.previous().equals(Hash.NONE)) {
          throw new BadLineException("the first record of all names one before it");
        }
      } else if (before != null) {
        if (line.seq() != before.seq() + 1) {
          throw new BadLineException("seq " + line.seq() + " follows " + before.seq());
        }
        if (!checkpoint.previous().equals(before.hash())) {
          throw new BadLineException("does not follow the segment before it");
        }
      }
    }

    /** After a bad line the chain is taken up again from what that line says of itself. */
    private void resume(RawLine raw) {
      begun = true;
      String hash = LineFormat.writtenHash(raw.bytes);
      long seq = LineFormat.writtenSeq(raw.bytes);
      expectedAfter = hash == null || seq == 0 ? null : new Head(seq, hash);
    }

    /** A line after the last one that the next segment goes on from. */
    private void pastNext(RawLine raw, Place place) {
      Head before = expectedAfter;
      if (!tailIsVoid || before == null) {
        visitor.bad(place, "comes after the record that the next segment follows");
        return;
      }
      AuditLine line;
      try {
        line = LineFormat.decode(raw.bytes);
      } catch (BadLineException e) {
        voidLines++;
        return;
      }
      int which = superseded.indexOf(line.hash());
      String hashBefore = which <= 0 ? before.hash() : superseded.get(which - 1);
      if (which < 0
          || line.seq() != before.seq() + 1 + which
          || !LineFormat.isHashedAfter(hashBefore, raw.bytes, line)) {
        visitor.bad(place, "a record with a seq that the next segment has, and does not void");
        return;
      }
      voidRecords++;
    }
  }
}
