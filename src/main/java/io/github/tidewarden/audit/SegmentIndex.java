package io.github.tidewarden.audit;

import io.github.tidewarden.audit.LineReader.RawLine;
import java.io.IOException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * The segments of a directory in the order of the chain, from the first line of each.
 *
 * @param segments by first seq, no two the same
 * @param torn files without one whole line: what a crash left of an opening
 * @param spare files that hold nothing but the opening line that a segment has as well: left by an
 *     opening that failed and was tried again
 * @param problems files that have no place in the order
 */
record SegmentIndex(
    List<Entry> segments, List<SegmentName> torn, List<SegmentName> spare, List<Problem> problems) {

  /** A segment, and the number of the first record in it that has one. */
  record Entry(SegmentName name, long firstSeq) {}

  /** A file that cannot be placed, and why. */
  record Problem(SegmentName name, String reason) {}

  /**
   * Reads the start of every segment.
   *
   * @throws IOException if the directory itself cannot be read
   */
  static SegmentIndex read(AuditFiles files) throws IOException {
    SegmentIndex index =
        new SegmentIndex(
            new ArrayList<>(), new ArrayList<>(), new ArrayList<>(), new ArrayList<>());
    for (String file : files.list()) {
      SegmentName name = SegmentName.parse(file);
      if (name != null) {
        index.place(files, name);
      }
    }
    index.segments.sort(
        Comparator.comparingLong(Entry::firstSeq)
            .thenComparing(entry -> entry.name().night())
            .thenComparing(entry -> entry.name().number()));
    index.settleTwins(files);
    return index;
  }

  /** The segment with the highest first seq; null if there is none. */
  @Nullable Entry newest() {
    return segments.isEmpty() ? null : segments.get(segments.size() - 1);
  }

  private void place(AuditFiles files, SegmentName name) {
    try (LineReader lines = new LineReader(files.read(name.toString()))) {
      RawLine line = lines.next();
      if (line == null || !line.complete) {
        torn.add(name);
        return;
      }
      while (line != null && LineFormat.writtenSeq(line.bytes) == 0) {
        line = lines.next();
      }
      if (line == null) {
        problems.add(new Problem(name, "no line in it begins like a record"));
      } else {
        segments.add(new Entry(name, LineFormat.writtenSeq(line.bytes)));
      }
    } catch (IOException e) {
      problems.add(new Problem(name, "cannot be read: " + e.getMessage()));
    }
  }

  /** Of segments with the same first seq, keeps the one that goes on; the others must be spare. */
  private void settleTwins(AuditFiles files) {
    for (int i = segments.size() - 1; i > 0; i--) {
      Entry one = segments.get(i - 1);
      Entry other = segments.get(i);
      if (one.firstSeq() == other.firstSeq()) {
        try {
          Entry spareOne = spareOf(files, one, other);
          if (spareOne == null) {
            problems.add(new Problem(other.name(), "opens with the same seq as " + one.name()));
            segments.remove(other);
          } else {
            spare.add(spareOne.name());
            segments.remove(spareOne);
          }
        } catch (IOException e) {
          problems.add(new Problem(other.name(), "cannot be read: " + e.getMessage()));
          segments.remove(other);
        }
      }
    }
  }

  private static @Nullable Entry spareOf(AuditFiles files, Entry one, Entry other)
      throws IOException {
    try (LineReader ofOne = new LineReader(files.read(one.name().toString()));
        LineReader ofOther = new LineReader(files.read(other.name().toString()))) {
      RawLine first = ofOne.next();
      RawLine second = ofOther.next();
      if (first == null || second == null || !Arrays.equals(first.bytes, second.bytes)) {
        return null;
      }
      if (ofOther.next() == null) {
        return other;
      }
      return ofOne.next() == null ? one : null;
    }
  }
}
