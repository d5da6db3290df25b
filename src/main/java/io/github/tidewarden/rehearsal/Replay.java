package io.github.tidewarden.rehearsal;

import io.github.tidewarden.audit.DirectoryFiles;
import io.github.tidewarden.audit.RecordText;
import io.github.tidewarden.audit.TraceEntry;
import io.github.tidewarden.audit.TraceReader;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Effect;
import io.github.tidewarden.control.Event;
import io.github.tidewarden.control.SiteMemory;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.SiteState;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.rehearsal.Differences.Difference;
import io.github.tidewarden.schedule.Interval;
import io.github.tidewarden.schedule.Nights;
import java.io.IOException;
import java.nio.file.Path;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import org.jspecify.annotations.Nullable;

/**
 * A recorded night run again: the core is given all that it was given then. Under the same
 * configuration it decides the same, to the last byte of each record; under another one it is seen
 * what would have differed, as far as a night can tell that did not go so.
 */
public final class Replay {

  /**
   * What is asked for.
   *
   * @param stateDir where the daemon kept audit and trace
   * @param night its name
   * @param site the configuration of that night
   * @param against another one; null for none
   */
  public record Task(Path stateDir, LocalDate night, SiteSpec site, @Nullable SiteSpec against) {}

  private final Task task;
  private final Tale recorded;
  private final SameCore same;
  private final @Nullable Tale otherTale;
  private final @Nullable OtherCore other;
  private final RedoxCourse redox;
  private final Set<String> digests = new TreeSet<>();
  private final List<String> remarks = new ArrayList<>();
  private Moment now = new Moment(Instant.EPOCH, 0, false);
  private long number = -1;
  private boolean started;

  private Replay(Task task) {
    this.task = task;
    recorded = new Tale(task.site());
    same = new SameCore(task.site(), recorded);
    redox = new RedoxCourse(task.site());
    SiteSpec against = task.against();
    if (against == null) {
      otherTale = null;
      other = null;
    } else {
      otherTale = new Tale(against);
      other = new OtherCore(task.site(), against, otherTale, recorded);
    }
  }

  /**
   * What came of it.
   *
   * @param task what was asked for
   * @param stretches inputs without a gap between them; none where there is no trace
   * @param digests fingerprints of the configurations of that night
   * @param remarks what is missing or damaged, in the keeper's words
   * @param compared records of the audit that were held against those of the replay
   * @param aside records of the audit of that night that the trace does not reach
   * @param differences in what the replay is not the night itself; empty if all is the same
   * @param recorded what was decided
   * @param otherwise what would have been; null without another configuration
   * @param redox what the probes said
   */
  record Outcome(
      Task task,
      List<SameCore.Stretch> stretches,
      Set<String> digests,
      List<String> remarks,
      int compared,
      int aside,
      List<Difference> differences,
      Tale recorded,
      @Nullable Tale otherwise,
      RedoxCourse redox) {

    Interval interval() {
      return Nights.interval(task.night(), task.site().zone());
    }
  }

  /**
   * Replays.
   *
   * @throws IOException if trace or audit cannot be read
   */
  public static Replayed of(Task task) throws IOException {
    return new Replayed(outcome(task));
  }

  static Outcome outcome(Task task) throws IOException {
    return new Replay(task).run();
  }

  private Outcome run() throws IOException {
    TraceReader.read(task.stateDir().resolve("trace"), task.night(), new Listener());
    same.end();
    if (other != null) {
      other.ends();
    }
    RecordedAudit audit =
        RecordedAudit.around(new DirectoryFiles(task.stateDir().resolve("audit")), task.night());
    audit.bad().forEach(bad -> remarks.add("the audit: " + bad));
    List<AuditRecord> was = new ArrayList<>();
    List<AuditRecord> is = new ArrayList<>();
    Set<RecordedAudit.Entry> reached = new HashSet<>();
    for (SameCore.Stretch stretch : same.stretches()) {
      compare(stretch, audit, reached, was, is);
    }
    long ofNight = audit.entries().stream().filter(entry -> isOfNight(entry.record())).count();
    return new Outcome(
        task,
        same.stretches(),
        digests,
        remarks,
        was.size(),
        Math.toIntExact(ofNight) - was.size(),
        Differences.exact(was, is),
        recorded,
        otherTale,
        redox);
  }

  private boolean isOfNight(AuditRecord record) {
    return Nights.nightOf(record.at(), task.site().zone()).equals(task.night());
  }

  /**
   * Adds what can be compared. Within one millisecond of a gap, or of an end that may be torn,
   * nobody can tell which side of it a record is on.
   */
  private void compare(
      SameCore.Stretch stretch,
      RecordedAudit audit,
      Set<RecordedAudit.Entry> reached,
      List<AuditRecord> was,
      List<AuditRecord> is) {
    long from = millis(stretch.from) + (stretch.afterGap ? 1 : 0);
    long to = millis(stretch.to) - (stretch.stopped ? 0 : 1);
    Set<String> unanswered = new HashSet<>();
    stretch.unanswered.forEach(record -> unanswered.add(text(record)));
    for (RecordedAudit.Entry entry : audit.entries()) {
      AuditRecord record = entry.record();
      if (entry.boot().equals(stretch.boot)
          && record.monoMillis() >= from
          && record.monoMillis() <= to
          && !unanswered.contains(text(record))
          && reached.add(entry)) {
        was.add(record);
      }
    }
    stretch.made.stream()
        .filter(record -> record.monoMillis() >= from && record.monoMillis() <= to)
        .filter(record -> !unanswered.contains(text(record)))
        .forEach(is::add);
  }

  private static String text(AuditRecord record) {
    return RecordText.of(record);
  }

  private static long millis(Moment moment) {
    return moment.monoNanos() / 1_000_000;
  }

  /** Hears the trace. */
  private final class Listener implements TraceReader.Visitor {
    @Override
    public void entry(TraceEntry entry) {
      if (entry instanceof TraceEntry.Opened opened) {
        digests.add(opened.configDigest());
      } else if (entry instanceof TraceEntry.At at) {
        now = at.now();
      } else if (entry instanceof TraceEntry.Booted boot) {
        boots(boot);
      } else if (entry instanceof TraceEntry.Known known) {
        knows(known);
      } else if (entry instanceof TraceEntry.Happened happened) {
        happens(happened.event());
      }
    }

    @Override
    public void damaged(String where, String what) {
      remarks.add(where + ": " + what);
      same.end();
      number = -1;
    }
  }

  private void boots(TraceEntry.Booted boot) {
    now = boot.now();
    number = 0;
    List<Effect> effects = same.boots(boot);
    OtherCore second = other;
    if (second != null) {
      second.boots(boot, false);
      second.watches(new Event.Tick(), effects, now);
    }
    started = true;
  }

  private void knows(TraceEntry.Known known) {
    if (known.lost() == 0 && known.number() == number) {
      return; // nothing is missing before it: the replay knows the same
    }
    if (started) {
      remarks.add(
          known.lost() > 0
              ? ReplayText.count(known.lost(), "input") + " missing after " + now.wall()
              : "inputs missing after " + now.wall());
    }
    same.knows(known.state(), started || known.lost() > 0);
    number = known.number();
  }

  private void happens(Event event) {
    if (number < 0) {
      return; // until the state is known again
    }
    SiteState known = same.state();
    if (!started && known != null && other != null) {
      SiteMemory memory = known.remembered();
      other.boots(
          new TraceEntry.Booted(memory, memory.boot(), "", true, Map.of(), now), known.linkUp());
    }
    started = true;
    number++;
    List<Effect> effects = same.takes(event, now);
    if (event instanceof Event.Heard heard) {
      redox.hears(heard.reading());
    }
    OtherCore second = other;
    if (second != null) {
      second.watches(event, effects, now);
      second.takes(event, now);
    }
  }
}
