package io.github.tidewarden.rehearsal;

import io.github.tidewarden.config.ClockSpec;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.config.Drill;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Effect;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.schedule.ClockSource;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/** Plays a drill in virtual time and says what was not as it expects. */
public final class Drilling {

  /** At most so many records are told before the moment of a failure, and this many after. */
  static final int MOST_BEFORE = 6;

  static final int MOST_AFTER = 2;
  private static final long AFTER_NANOS = TimeUnit.MINUTES.toNanos(1);

  /**
   * A record near a failure.
   *
   * @param nanos when, since the start
   * @param what its kind, and the name that it is about
   * @param why in the keeper's words
   */
  public record Near(long nanos, String what, String why) {}

  /**
   * One thing that was not as expected.
   *
   * @param spot where it is expected
   * @param when it was to be so, in words
   * @param expected in words
   * @param was what was so instead, and since when
   * @param why in the daemon's words; empty where nothing is known
   * @param near the records around the time, oldest first
   */
  public record Failure(
      Drill.Spot spot, String when, String expected, String was, String why, List<Near> near) {}

  /**
   * How a drill went.
   *
   * @param failures in the order of the file; empty when it passed
   */
  public record Outcome(Drill drill, List<Failure> failures) {
    /** Copies the list. */
    public Outcome {
      failures = List.copyOf(failures);
    }

    /** Whether everything was as expected. */
    public boolean passed() {
      return failures.isEmpty();
    }
  }

  private final Drill drill;
  private final TankSpec tank;
  private final DrillFacts facts;
  private final List<Failure> failures = new ArrayList<>();

  private Drilling(Configuration configuration, Drill drill) {
    this.drill = drill;
    tank =
        configuration.site().tanks().stream()
            .filter(spec -> spec.name().equals(drill.tank()))
            .findFirst()
            .orElseThrow();
    ClockSource source =
        configuration.clock().trustedWhen() == ClockSpec.TrustedWhen.BATTERY_BACKED
            ? ClockSource.BATTERY_BACKED
            : ClockSource.SYNCHRONISED;
    facts =
        new DrillFacts(
            drill, onlooker -> new DrillSite(configuration.site(), source, drill, onlooker));
  }

  /** Plays it; the drill was read for this configuration. */
  public static Outcome of(Configuration configuration, Drill drill) {
    return new Outcome(drill, played(configuration, drill).judged(drill.expectations()));
  }

  /** Plays it, to be judged. */
  static Drilling played(Configuration configuration, Drill drill) {
    Drilling drilling = new Drilling(configuration, drill);
    drilling.facts.live(drill.endNanos());
    return drilling;
  }

  /** What was not as these expectations say, of the same facts as those of the drill. */
  List<Failure> judged(List<Drill.Expectation> expectations) {
    failures.clear();
    judge(expectations);
    return List.copyOf(failures);
  }

  private void judge(List<Drill.Expectation> expectations) {
    for (DrillFacts.Written each : facts.records()) {
      if (each.record().kind() == Kind.FAULT) {
        fails(
            new Drill.Spot(1, 1),
            "at any time",
            "no fault of this program",
            "there was one in " + each.record().tank(),
            each.record().why(),
            each.nanos());
      }
    }
    judgeAnswers();
    for (Drill.Expectation expectation : expectations) {
      for (Drill.Claim claim : expectation.claims()) {
        if (claim.fact() == Drill.Fact.NOTICE) {
          judgeNotice(expectation, claim);
        } else {
          judge(expectation, claim);
        }
      }
    }
  }

  private void judgeAnswers() {
    long number = 0;
    for (Drill.Given given : drill.given()) {
      if (!(given instanceof Drill.KeeperAsks keeper)) {
        continue;
      }
      Effect.Answer answer = facts.answer(++number);
      if (answer == null || answer.done() != keeper.done()) {
        fails(
            keeper.spot(),
            "at " + drill.told(keeper.atNanos()),
            keeper.request().get("act") + (keeper.done() ? " done" : " refused"),
            answer == null
                ? "it was not answered before the drill ended"
                : answer.done() ? "it was done" : "it was refused",
            answer == null ? "" : answer.what(),
            keeper.atNanos());
      }
    }
  }

  private void judgeNotice(Drill.Expectation expectation, Drill.Claim claim) {
    boolean at = expectation.span() == Drill.Span.AT;
    DrillFacts.Written told =
        facts.notice(claim.name(), at ? 0 : expectation.fromNanos(), expectation.toNanos());
    if ((told != null) != claim.holds()) {
      fails(
          claim.spot(),
          when(expectation),
          DrillWords.of(claim, claim.holds()),
          told == null ? "nothing of it was told" : "it was told at " + drill.told(told.nanos()),
          told == null ? "" : told.record().why(),
          told == null ? expectation.toNanos() : told.nanos());
    }
  }

  private void judge(Drill.Expectation expectation, Drill.Claim claim) {
    long from = expectation.fromNanos();
    long to = expectation.toNanos();
    boolean within = expectation.span() == Drill.Span.WITHIN;
    long first = within ? from - 1 : from;
    DrillFacts.Change change = facts.at(claim, first);
    boolean right = change.holds() == claim.holds();
    DrillFacts.Change next = facts.next(claim, first, to);
    if (within && right) {
      String was = state(claim, change, first) + " before that already";
      fails(expectation, claim, was + since(claim, change), first);
    } else if (within && next == null) {
      String was = state(claim, change, to) + " all that time";
      fails(expectation, claim, was + since(claim, change), to);
    } else if (!within && !right) {
      fails(expectation, claim, state(claim, change, from) + since(claim, change), from);
    } else if (!within && next != null) {
      String was = state(claim, next, next.nanos()) + " from " + drill.told(next.nanos());
      fails(expectation, claim, was + " on", next.nanos());
    }
  }

  private String state(Drill.Claim claim, DrillFacts.Change change, long nanos) {
    if (claim.fact() == Drill.Fact.PORTION) {
      String phase = facts.state("exchange", nanos);
      return "it was " + (phase.isEmpty() ? "unknown" : phase);
    }
    if (claim.fact() == Drill.Fact.FIRST_OUT) {
      DrillFacts.Written trip = facts.lastTrip(nanos);
      return trip == null
          ? "nothing had tripped"
          : "it was " + trip.record().fields().get("first-out") + ", when the last trip came";
    }
    return "it was " + DrillWords.state(claim.fact(), change.holds());
  }

  /** Since when it was so; a phase and a first-out are told as they were, so not of them. */
  private String since(Drill.Claim claim, DrillFacts.Change change) {
    if (claim.fact() == Drill.Fact.PORTION || claim.fact() == Drill.Fact.FIRST_OUT) {
      return "";
    }
    return change.nanos() == 0 ? ", from the start" : ", since " + drill.told(change.nanos());
  }

  private String when(Drill.Expectation expectation) {
    String from = drill.told(expectation.fromNanos());
    return switch (expectation.span()) {
      case AT -> "at " + from;
      case THROUGHOUT -> "from " + from + ", to " + drill.told(expectation.toNanos());
      case WITHIN ->
          "within " + Drill.span(expectation.toNanos() - expectation.fromNanos()) + " of " + from;
    };
  }

  private void fails(Drill.Expectation expectation, Drill.Claim claim, String was, long nanos) {
    fails(
        claim.spot(),
        when(expectation),
        DrillWords.of(claim, claim.holds()),
        was,
        why(claim, nanos),
        nanos);
  }

  private void fails(
      Drill.Spot spot, String when, String expected, String was, String why, long nanos) {
    failures.add(new Failure(spot, when, expected, was, why, near(nanos)));
  }

  /** Why the daemon says that it was so. */
  private String why(Drill.Claim claim, long nanos) {
    return switch (claim.fact()) {
      case ON, TOLD_TO_RUN -> facts.state(keyOf(claim.name()), nanos);
      case PORTION -> facts.state("exchange-why", nanos);
      case TRIPPED, LATCHED, HELD, FIRST_OUT, NOTICE -> {
        DrillFacts.Written last = lastOf(claim.name(), nanos);
        yield last == null ? "" : last.record().why();
      }
    };
  }

  private String keyOf(String device) {
    boolean pump =
        tank.actuators().stream()
            .filter(actuator -> actuator.name().equals(device))
            .map(ActuatorSpec::function)
            .anyMatch(function -> function != TankFunction.OZONE);
    return pump ? "exchange-why" : "why";
  }

  private DrillFacts.@Nullable Written lastOf(String name, long nanos) {
    DrillFacts.Written found = null;
    for (DrillFacts.Written each : facts.records()) {
      if (each.nanos() <= nanos && name.equals(each.record().fields().get("name"))) {
        found = each;
      }
    }
    return found;
  }

  private List<Near> near(long nanos) {
    List<Near> before = new ArrayList<>();
    List<Near> after = new ArrayList<>();
    for (DrillFacts.Written each : facts.records()) {
      Near near = new Near(each.nanos(), what(each), each.record().why());
      if (each.nanos() <= nanos) {
        before.add(near);
      } else if (each.nanos() - nanos <= AFTER_NANOS && after.size() < MOST_AFTER) {
        after.add(near);
      }
    }
    List<Near> all =
        new ArrayList<>(before.subList(Math.max(0, before.size() - MOST_BEFORE), before.size()));
    all.addAll(after);
    return List.copyOf(all);
  }

  private static String what(DrillFacts.Written written) {
    AuditRecord record = written.record();
    Object name = record.fields().get("name");
    return record.kind().word() + (name == null || name.equals("") ? "" : " " + name);
  }
}
