package io.github.tidewarden.review;

import io.github.tidewarden.audit.AuditFiles;
import io.github.tidewarden.audit.AuditLine;
import io.github.tidewarden.audit.AuditReader;
import io.github.tidewarden.audit.Segments;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.review.Past.Remark;
import io.github.tidewarden.schedule.Nights;
import java.io.IOException;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * Reads from an audit directory what a review needs: the segments of the nights asked for, one
 * night before and one after, and what the next life of the daemon wrote. The daemon may be writing
 * meanwhile.
 */
public final class ReviewReader {

  /** Most records of one review; what comes after is said to be left out. */
  static final int MOST_RECORDS = 50_000;

  private final AuditFiles files;
  private final ReviewedSite site;
  private final int mostRecords;

  /**
   * A reader of one site's audit.
   *
   * @param files the audit directory below the state directory
   */
  public ReviewReader(AuditFiles files, ReviewedSite site) {
    this(files, site, MOST_RECORDS);
  }

  ReviewReader(AuditFiles files, ReviewedSite site, int mostRecords) {
    this.files = files;
    this.site = site;
    this.mostRecords = mostRecords;
  }

  /**
   * As {@link Review#ofNight}.
   *
   * @throws IOException if the directory cannot be read; a file that cannot is a gap in the review
   */
  public Review ofNight(LocalDate night) throws IOException {
    return Review.ofNight(past(Segments.around(files, night, night)), site, night);
  }

  /**
   * As {@link Review#since}.
   *
   * @throws IOException if the directory cannot be read; a file that cannot is a gap in the review
   */
  public Review since(Instant since) throws IOException {
    LocalDate night = Nights.nightOf(since, site.zone());
    return Review.since(past(Segments.around(files, night, LocalDate.MAX)), site, since);
  }

  /**
   * As {@link Review#last}, among the newest nights.
   *
   * @throws IOException if the directory cannot be read; a file that cannot is a gap in the review
   */
  public Review last() throws IOException {
    LocalDate newest = Segments.newestNight(files);
    return Review.last(
        past(newest == null ? files : Segments.around(files, newest.minusDays(1), LocalDate.MAX)),
        site);
  }

  private Past past(AuditFiles segments) throws IOException {
    Past past = read(segments);
    if (past.remarks().stream().anyMatch(r -> r.gap() && r.before() == past.records().size())) {
      // The end may have been caught while it was being written.
      return read(segments);
    }
    return past;
  }

  private Past read(AuditFiles segments) throws IOException {
    Collector collector = new Collector(mostRecords);
    AuditReader.read(segments, collector);
    return new Past(collector.records, collector.remarks);
  }

  private static final class Collector implements AuditReader.Visitor {
    private final List<AuditRecord> records = new ArrayList<>();
    private final List<Remark> remarks = new ArrayList<>();
    private final int most;
    private boolean full;

    Collector(int most) {
      this.most = most;
    }

    @Override
    public void record(AuditReader.Place place, AuditLine line, boolean sound) {
      if (records.size() < most) {
        records.add(slim(line.record()));
      } else if (!full) {
        full = true;
        remark(true, "more than a review takes; what comes from " + place + " on is left out");
      }
    }

    @Override
    public void bad(AuditReader.Place place, String reason) {
      if (remarks.size() < most) {
        remark(true, place + ": " + reason);
      }
    }

    @Override
    public void note(AuditReader.Place place, String text) {
      // A note on the first line is about which files there are, not about what is in them.
      if (place.line() > 1 && remarks.size() < most) {
        remark(false, place + " " + text);
      }
    }

    private void remark(boolean gap, String what) {
      remarks.add(new Remark(records.size(), gap, what));
    }

    /**
     * Without the signals of the vector, the largest part of a record, which only the beginning of
     * a run needs.
     */
    private static AuditRecord slim(AuditRecord record) {
      if (record.kind() == Kind.RESERVED || record.kind() == Kind.RUN) {
        return record;
      }
      Map<String, Object> fields = new LinkedHashMap<>(record.fields());
      fields.remove(Entry.SIGNALS);
      return new AuditRecord(
          record.at(),
          record.trusted(),
          record.monoMillis(),
          record.tank(),
          record.kind(),
          record.why(),
          fields);
    }
  }
}
