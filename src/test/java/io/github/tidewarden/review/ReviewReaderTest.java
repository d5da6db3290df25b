package io.github.tidewarden.review;

import static io.github.tidewarden.review.ReviewTest.NIGHT;
import static io.github.tidewarden.review.ReviewTest.SITE;
import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.audit.AuditFiles;
import io.github.tidewarden.audit.AuditLog;
import io.github.tidewarden.audit.AuditRecovery;
import io.github.tidewarden.audit.DirectoryFiles;
import io.github.tidewarden.audit.Recovery;
import io.github.tidewarden.audit.SiteFold;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Checkpoint;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.RecordedNights;
import io.github.tidewarden.control.SiteMemory;
import io.github.tidewarden.schedule.Nights;
import java.io.FilterInputStream;
import java.io.IOException;
import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Reviews read back from a real directory, written by the real log. */
class ReviewReaderTest {
  @TempDir Path stateDir;
  private Path dir;

  @BeforeEach
  void auditDirectory() {
    dir = stateDir.resolve("audit");
  }

  private ReviewReader reader() {
    return new ReviewReader(new DirectoryFiles(dir), SITE);
  }

  /** Writes as the daemon does: a new log with each start, records by the night of their time. */
  private void write(List<AuditRecord> records) throws IOException {
    AuditLog<SiteMemory> log = null;
    for (AuditRecord record : records) {
      if (record.kind() == Kind.START) {
        if (log != null) {
          log.close();
        }
        log = open();
      }
      log.append(record, Nights.nightOf(record.at(), SITE.zone()));
      log.sync();
    }
    log.close();
  }

  private AuditLog<SiteMemory> open() {
    Recovery recovery = AuditRecovery.recover(new DirectoryFiles(dir));
    assertThat(recovery.trust()).isIn(Recovery.Trust.FRESH, Recovery.Trust.GOOD);
    SiteMemory memory =
        recovery.checkpoint().isEmpty() ? SiteMemory.BLANK : Checkpoint.read(recovery.checkpoint());
    memory = memory.knowing(RecordedNights.site().tanks());
    for (AuditRecord record : recovery.recordsSinceCheckpoint()) {
      memory = memory.apply(record);
    }
    return new AuditLog<>(new DirectoryFiles(dir), recovery, memory, new SiteFold());
  }

  @Test
  void whatIsReadBackReadsAsWhatWasRecorded() throws IOException {
    RecordedNights night = RecordedNights.latched();
    write(night.records());
    assertThat(reader().ofNight(NIGHT).text()).isEqualTo(ReviewTest.review(night).text());
    assertThat(reader().ofNight(NIGHT).json()).isEqualTo(ReviewTest.review(night).json());
    assertThat(reader().last().text()).isEqualTo(ReviewTest.review(night).text());
  }

  @Test
  void aLatchOlderThanEverySegmentReadComesFromTheCheckpoint() throws IOException {
    RecordedNights nights = RecordedNights.latched();
    for (int day = 16; day <= 24; day++) {
      nights.until("2026-01-" + day + "T01:29:00Z").steady(70, 330, 333);
      nights.until("2026-01-" + day + "T03:00:01Z");
    }
    write(nights.records());
    Set<String> read = new TreeSet<>();
    ReviewReader reader = new ReviewReader(new Spy(new DirectoryFiles(dir), read), SITE);
    String text = reader.ofNight(LocalDate.of(2026, 1, 20)).text();
    assertThat(text)
        .contains("It needs a hand: redox-ceiling is latched")
        .contains("since before the first record read");
    assertThat(read)
        .containsExactly(
            "2026-01-19.jsonl",
            "2026-01-20.jsonl",
            "2026-01-21.jsonl",
            "2026-01-22.jsonl",
            "2026-01-23.jsonl");
  }

  @Test
  void aMissedWindowIsFoundInWhatTheNextLifeWroteDaysLater() throws IOException {
    write(new RecordedNights().crash(Duration.ofDays(6)).steady(5, 345, 348).records());
    assertThat(Files.exists(dir.resolve("2026-01-20.jsonl"))).isTrue();
    String text = reader().ofNight(NIGHT).text();
    assertThat(text).contains("missed: nothing was given: the daemon did not run");
    assertThat(reader().ofNight(NIGHT.plusDays(3)).text())
        .contains("missed: nothing was given: the daemon did not run")
        .contains("No record is of this night.");
  }

  @Test
  void anAlteredLineIsAGapAndTheOutcomeIsNotKnown() throws IOException {
    write(RecordedNights.good().records());
    Path segment = dir.resolve("2026-01-14.jsonl");
    List<String> lines = Files.readAllLines(segment);
    int rest = indexOf(lines, "\"kind\":\"rest\"");
    lines.set(rest, lines.get(rest).replace("\"ran-ms\":574000", "\"ran-ms\":574001"));
    Files.write(segment, lines);
    String text = reader().ofNight(NIGHT).text().replaceAll("\\s+", " ");
    assertThat(text)
        .contains("How it went cannot be said for certain, because the audit has a gap.")
        .contains("the audit has a gap: 2026-01-14.jsonl:" + (rest + 1) + ": does not match its");
  }

  @Test
  void aMissingLineIsAGap() throws IOException {
    write(RecordedNights.good().records());
    Path segment = dir.resolve("2026-01-14.jsonl");
    List<String> lines = Files.readAllLines(segment);
    int settled = indexOf(lines, "\"kind\":\"settled\"");
    lines.remove(settled);
    Files.write(segment, lines);
    String text = reader().ofNight(NIGHT).text().replaceAll("\\s+", " ");
    assertThat(text)
        .contains("the audit has a gap")
        .contains("of 60 min allowed")
        .contains("Ran 9 min 34 s; at most 10 min 11 s ran, which count in full");
  }

  @Test
  void aTornEndIsAGapOnlyIfItStays() throws IOException {
    write(RecordedNights.good().records());
    Path segment = dir.resolve("2026-01-14.jsonl");
    byte[] whole = Files.readAllBytes(segment);
    Files.writeString(segment, "{\"seq\":99,", UTF_8, StandardOpenOption.APPEND);
    assertThat(reader().ofNight(NIGHT).text()).contains("the audit has a gap");
    AuditFiles beingWritten =
        new Spy(new DirectoryFiles(dir), new TreeSet<>()) {
          private int reads;

          @Override
          public InputStream read(String name) throws IOException {
            // Once for its number, twice for the first look; whole again at the second look.
            if (++reads > 3) {
              Files.write(segment, whole);
            }
            return super.read(name);
          }
        };
    assertThat(new ReviewReader(beingWritten, SITE).ofNight(NIGHT).text())
        .contains("It went well, and nothing needs a hand.");
  }

  @Test
  void sinceTheLastReviewReadsOnlyWhatIsNeeded() throws IOException {
    RecordedNights nights = RecordedNights.good();
    for (int day = 16; day <= 20; day++) {
      nights.until("2026-01-" + day + "T01:29:00Z").steady(70, 350, 352);
      nights.until("2026-01-" + day + "T03:00:01Z");
    }
    write(nights.records());
    Set<String> read = new TreeSet<>();
    ReviewReader reader = new ReviewReader(new Spy(new DirectoryFiles(dir), read), SITE);
    String text = reader.since(Instant.parse("2026-01-19T07:00:00Z")).text();
    assertThat(text).contains("Night of 19 January 2026\n").doesNotContain("Night of 17");
    assertThat(read).containsExactly("2026-01-17.jsonl", "2026-01-18.jsonl", "2026-01-19.jsonl");
  }

  @Test
  void anEmptyDirectoryClaimsNothing() throws IOException {
    assertThat(reader().last().text())
        .isEqualTo("Review of harbour-lab\nNothing is recorded yet.\n");
    ReviewSchema.assertDescribes(ReviewSchema.read(), reader().last().json());
    assertThat(reader().ofNight(NIGHT).text()).contains("No record is of this night.");
  }

  @Test
  void moreRecordsThanAReviewTakesAreSaidToBeLeftOut() throws IOException {
    write(RecordedNights.good().records());
    ReviewReader small = new ReviewReader(new DirectoryFiles(dir), SITE, 12);
    assertThat(small.ofNight(NIGHT).text().replaceAll("\\s+", " "))
        .contains("because the audit has a gap")
        .contains("what comes from 2026-01-14.jsonl:13 on is left out");
  }

  private static int indexOf(List<String> lines, String part) {
    for (int i = 0; i < lines.size(); i++) {
      if (lines.get(i).contains(part)) {
        return i;
      }
    }
    throw new AssertionError("no line with " + part);
  }

  /** Notes which files are read to their end. */
  private static class Spy implements AuditFiles {
    private final AuditFiles files;
    private final Set<String> wholeReads;

    Spy(AuditFiles files, Set<String> wholeReads) {
      this.files = files;
      this.wholeReads = wholeReads;
    }

    @Override
    public List<String> list() throws IOException {
      return new ArrayList<>(files.list());
    }

    @Override
    public InputStream read(String name) throws IOException {
      return new FilterInputStream(files.read(name)) {
        @Override
        public int read(byte[] bytes, int offset, int length) throws IOException {
          int count = super.read(bytes, offset, length);
          if (count < 0) {
            wholeReads.add(name);
          }
          return count;
        }
      };
    }

    @Override
    public Appender create(String name) throws IOException {
      throw new AssertionError("a review wrote");
    }

    @Override
    public void markBegun() {
      throw new AssertionError("a review wrote");
    }

    @Override
    public boolean isBegun() {
      throw new AssertionError("a review has no need of it");
    }

    @Override
    public void force(String name) throws IOException {
      throw new AssertionError("a review wrote");
    }

    @Override
    public void syncDirectory() throws IOException {
      throw new AssertionError("a review wrote");
    }

    @Override
    public void remove(String name) throws IOException {
      throw new AssertionError("a review wrote");
    }

    @Override
    public String setAside(String name, long offset) throws IOException {
      throw new AssertionError("a review wrote");
    }
  }
}
