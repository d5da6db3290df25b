package io.github.tidewarden.control;

import io.github.tidewarden.dosing.OzoneDosing;
import io.github.tidewarden.gate.Gate;
import io.github.tidewarden.gate.Lease;
import io.github.tidewarden.schedule.OpenWindow;
import java.time.LocalDate;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;

/**
 * Keeps the account of the generator's runs: reserves before it is spent, records beginning and
 * end, and gives back what was not used. What counts is the bound, the longest that the device can
 * have run; less only where the device itself confirmed its rest.
 */
final class RunKeeper {
  private final Turn turn;

  RunKeeper(Turn turn) {
    this.turn = turn;
  }

  /** Follows one decision of the gate; the turn still holds the lease before it. */
  void follow(OzoneDosing.Proposal proposal, Gate.Decision decision) {
    Lease was = turn.lease;
    Lease is = decision.lease();
    if (was == null && is != null) {
      begins(proposal, is);
    } else if (was != null && is == null) {
      ends(was, proposal, decision);
    } else if (is == null && isReserved() && (!proposal.run() || !decision.denials().isEmpty())) {
      givesBack(proposal, decision);
    }
    settle();
    if (decision.reserveNanos() > 0) {
      reserve(proposal, decision.reserveNanos());
    }
  }

  private boolean isReserved() {
    Run run = turn.memory.run();
    return run != null && run.spend() == null;
  }

  private long number() {
    Run run = turn.memory.run();
    return run == null ? turn.memory.lastRun() + 1 : run.number();
  }

  /** Nothing is reserved for a next run before the account of the last one is closed. */
  private void reserve(OzoneDosing.Proposal proposal, long nanos) {
    Run run = turn.memory.run();
    OpenWindow window = turn.window;
    if (window == null || (run != null && run.spend() != null)) {
      return;
    }
    LocalDate night = run == null ? window.night() : run.night();
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.NIGHT, night.toString());
    fields.put(Fields.RUN, number());
    fields.put(Fields.WINDOW, window.id());
    fields.put(Fields.RESERVE_MS, nanos / 1_000_000);
    fields.put(Fields.RESERVE_MG, turn.narrator.milligrams(nanos / 1_000_000));
    fields.putAll(turn.narrator.vector());
    turn.reserve(Kind.RESERVED, proposal.why(), fields);
  }

  private void begins(OzoneDosing.Proposal proposal, Lease lease) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.RUN, number());
    turn.narrator.runBegins();
    fields.putAll(turn.narrator.vector());
    fields.put("lease-s", (long) lease.seconds());
    turn.write(Kind.RUN, proposal.why(), fields);
  }

  private void ends(Lease lease, OzoneDosing.Proposal proposal, Gate.Decision decision) {
    long boundNanos = lease.boundNanos() - lease.startedNanos();
    long spentMillis =
        Math.min(millisUp(boundNanos), Objects.requireNonNull(turn.memory.run()).reservedMillis());
    rest(
        causes(proposal, decision),
        lease.lastedNanos(turn.now.monoNanos()),
        spentMillis,
        Math.max(0, lease.boundNanos() - turn.now.monoNanos()));
    turn.ended = lease;
  }

  private void givesBack(OzoneDosing.Proposal proposal, Gate.Decision decision) {
    rest(causes(proposal, decision), 0, 0, 0);
    turn.ended = null;
  }

  private void rest(List<String> causes, long ranNanos, long spentMillis, long overInNanos) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.RUN, number());
    fields.put(Fields.RAN_MS, ranNanos / 1_000_000);
    fields.put(Fields.SPENT_MS, spentMillis);
    fields.put(Fields.SPENT_MG, turn.narrator.milligrams(spentMillis));
    fields.put(Fields.OVER_IN_MS, millisUp(overInNanos));
    fields.put(Fields.CAUSES, causes);
    fields.putAll(turn.narrator.runCourse());
    fields.putAll(turn.narrator.vector());
    turn.write(Kind.REST, causes.get(0), fields);
  }

  private static List<String> causes(OzoneDosing.Proposal proposal, Gate.Decision decision) {
    return decision.denials().isEmpty() ? List.of(proposal.why()) : decision.denials();
  }

  /** Closes the account of the last run once its true end, or its bound, has come. */
  private void settle() {
    Run run = turn.memory.run();
    if (run == null || run.spend() == null) {
      return;
    }
    Lease last = turn.ended;
    if (last == null) {
      settled(run, run.spend().amount(), "nothing had run");
      return;
    }
    Long confirmed =
        turn.device(Objects.requireNonNull(turn.tank.spec.ozone()).generator())
            .restConfirmedNanos();
    if (confirmed != null) {
      long spent = Math.min(run.spend().amount(), millisUp(confirmed - last.startedNanos()));
      settled(run, spent, "the device confirmed its rest");
    } else if (turn.now.since(last.boundNanos()) >= 0) {
      settled(run, run.spend().amount(), "its last lease has run out");
    }
  }

  private void settled(Run run, long spentMillis, String why) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.NIGHT, run.night().toString());
    fields.put(Fields.RUN, run.number());
    fields.put(Fields.SPENT_MS, spentMillis);
    fields.put(Fields.SPENT_MG, turn.narrator.milligrams(spentMillis));
    fields.put(Fields.OVER_IN_MS, 0L);
    turn.write(Kind.SETTLED, why, fields);
    turn.ended = null;
  }

  private static long millisUp(long nanos) {
    return (nanos + 999_999) / 1_000_000;
  }
}
