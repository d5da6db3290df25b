package io.github.tidewarden.control;

import io.github.tidewarden.gate.Command;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Reading;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;

/**
 * The bench behind {@link RecordedNights}, on which the whole core runs with time in the test's
 * hand: an invented site with one tank, a disk that syncs at once unless told not to, and a diary
 * of everything that came out.
 */
final class NightBench {
  static final Instant WINDOW_OPENS = Instant.parse("2026-01-15T01:30:00Z");

  final List<AuditRecord> records = new ArrayList<>();
  final List<Command> commands = new ArrayList<>();
  final List<Effect.Tell> told = new ArrayList<>();
  final List<Effect.Answer> answers = new ArrayList<>();
  boolean diskWorks = true;
  boolean trusted = true;
  Site site;
  SiteState state;
  Instant wall;
  long mono = TimeUnit.HOURS.toNanos(1);
  private long arrivals;

  NightBench(SiteSpec spec, Instant start) {
    wall = start;
    site = new Site(spec);
    state = null;
    start(SiteMemory.BLANK, "boot-1");
  }

  /** A start of the daemon with what it remembers. */
  void start(SiteMemory memory, String boot) {
    Site.Result result = site.boot(memory, boot, "", true, Map.of(), now());
    state = result.state();
    carryOut(result.effects());
  }

  Moment now() {
    return new Moment(wall, mono, trusted);
  }

  void passes(Duration time) {
    wall = wall.plus(time);
    mono += time.toNanos();
  }

  void event(Event event) {
    Site.Result result = site.step(state, event, now());
    state = result.state();
    carryOut(result.effects());
  }

  private void carryOut(List<Effect> effects) {
    for (Effect effect : effects) {
      if (effect instanceof Effect.Send send) {
        commands.add(send.command());
      } else if (effect instanceof Effect.Write write) {
        if (diskWorks || !write.permits()) {
          records.add(write.record());
        }
        if (write.permits()) {
          event(
              diskWorks
                  ? new Event.Synced(write.ticket())
                  : new Event.Unwritten(write.ticket(), "no space left"));
        }
      } else if (effect instanceof Effect.Tell tell) {
        told.add(tell);
      } else if (effect instanceof Effect.Answer answer) {
        answers.add(answer);
      }
    }
  }

  void connect() {
    event(new Event.LinkUp());
    passes(Duration.ofSeconds(3));
  }

  void hear(String topic, String payload) {
    event(new Event.Heard(reading(topic, payload, false)));
  }

  Reading reading(String topic, String payload, boolean retained) {
    return new Reading(
        ++arrivals, topic, payload.getBytes(StandardCharsets.UTF_8), retained, now());
  }

  /** All sensors of the tank at 1 Hz, and the device's answers, for some seconds. */
  void steady(int seconds, double redoxA, double redoxB) {
    for (int i = 0; i < seconds; i++) {
      hear("lab/lagoon/redox/a", Double.toString(redoxA));
      hear("lab/lagoon/redox/b", "{\"mv\":" + redoxB + "}");
      hear("lab/lagoon/air", "5.0");
      hear("lab/gallery/ozone", "3");
      deviceAnswers();
      passes(Duration.ofSeconds(1));
      event(new Event.Tick());
    }
  }

  private int answered;

  void deviceAnswers() {
    if (answered < commands.size()) {
      answered = commands.size();
      passes(Duration.ofNanos(1)); // an answer is never there before the word it answers
      hear("lab/lagoon/ozone/state", "{\"on\":" + runs() + "}");
    }
  }

  boolean runs() {
    return !commands.isEmpty() && commands.get(commands.size() - 1).runs();
  }

  List<AuditRecord> records(Kind kind) {
    return records.stream().filter(record -> record.kind() == kind).toList();
  }
}
