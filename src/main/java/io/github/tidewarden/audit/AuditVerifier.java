package io.github.tidewarden.audit;

import io.github.tidewarden.audit.AuditReader.Place;
import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import org.jspecify.annotations.Nullable;

/** Checks a whole log, and where it ends against a hash that was kept elsewhere. */
public final class AuditVerifier {

  /** Notes kept; more are only counted out. */
  private static final int MOST_NOTES = 100;

  /**
   * What came of it.
   *
   * @param firstBad the first bad place; null if the log is good
   * @param records sound records, checkpoints included
   * @param firstSeq number of the first record; 0 if there is none
   * @param last the last record
   * @param sinceHead records after the expected head; 0 if it is the last, or none was given
   * @param notes what looks odd and is in order, each with its place
   */
  public record Verdict(
      @Nullable FirstBad firstBad,
      long records,
      long firstSeq,
      Head last,
      long sinceHead,
      List<String> notes) {

    /** Whether every byte is as it was written, as far as the chain can tell. */
    public boolean isGood() {
      return firstBad == null;
    }
  }

  /**
   * A bad place.
   *
   * @param file the segment; empty if it is the log as a whole
   * @param line from 1; 0 if it is the log as a whole
   * @param reason what is wrong there
   */
  public record FirstBad(String file, long line, String reason) {
    @Override
    public String toString() {
      return file.isEmpty() ? reason : file + ":" + line + ": " + reason;
    }
  }

  private AuditVerifier() {}

  /**
   * Checks every record of a directory.
   *
   * @param expectedHead a hash that was published once; without it a log that was cut at the end of
   *     a record, or written anew from some record on, looks good
   * @throws IOException if the directory cannot be read
   */
  public static Verdict verify(AuditFiles files, @Nullable String expectedHead) throws IOException {
    Collector found = new Collector(expectedHead);
    AuditReader.read(files, found);
    if (found.firstBad == null && expectedHead != null && found.headSeq < 0) {
      found.firstBad =
          new FirstBad(
              "", 0, "the expected head is not in the log: it was cut short or written anew");
    }
    return new Verdict(
        found.firstBad,
        found.records,
        found.firstSeq,
        found.last,
        found.headSeq < 0 ? 0 : found.last.seq() - found.headSeq,
        List.copyOf(found.notes));
  }

  private static final class Collector implements AuditReader.Visitor {
    private final @Nullable String expectedHead;
    private final List<String> notes = new ArrayList<>();
    private @Nullable FirstBad firstBad;
    private long records;
    private long firstSeq;
    private long headSeq = -1;
    private Head last = Head.NONE;

    Collector(@Nullable String expectedHead) {
      this.expectedHead = expectedHead;
    }

    @Override
    public void record(Place place, AuditLine line, boolean sound) {
      if (firstBad == null && sound) {
        records++;
        firstSeq = firstSeq == 0 ? line.seq() : firstSeq;
        last = new Head(line.seq(), line.hash());
        headSeq = line.hash().equals(expectedHead) ? line.seq() : headSeq;
      }
    }

    @Override
    public void bad(Place place, String reason) {
      if (firstBad == null) {
        firstBad = new FirstBad(place.file(), place.line(), reason);
      }
    }

    @Override
    public void note(Place place, String text) {
      if (notes.size() < MOST_NOTES) {
        notes.add(place + ": " + text);
      }
    }
  }
}
