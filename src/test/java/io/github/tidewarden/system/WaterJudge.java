package io.github.tidewarden.system;

import static io.github.tidewarden.system.WaterFile.LITRES_PER_MILLIMETRE;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.offset;

import io.github.tidewarden.audit.AuditVerifier;
import io.github.tidewarden.audit.DirectoryFiles;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.rehearsal.SimulatedDevice;
import io.github.tidewarden.rehearsal.SimulatedDevice.Switch;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.util.ArrayList;
import java.util.List;

/**
 * Holds the audit of a tank against its water, as it truly went: what must be so whatever was
 * killed, lost or broken meanwhile. Both run on the monotonic clock of the machine.
 */
final class WaterJudge {
  /** What a pump moves beyond its time at most: one lease, delivered as late as it may be. */
  private static final double OVERRUN_LITRES =
      WaterFile.LITRES_PER_MINUTE * (WaterFile.LEASE_SECONDS + WaterFile.EXPIRY_SECONDS + 1) / 60;

  /** The program reads its clock a little before a record of that moment is written. */
  private static final long MILLI = 1_000_000;

  private final WaterRig rig;
  private final WaterFile.Tank tank;
  private final List<WaterTank.Sample> samples;
  private final List<Span> drains;
  private final List<Span> fills;
  private final List<Portion> portions = new ArrayList<>();

  /** From one monotonic time to another, ns; the end is the greatest number when it is to come. */
  private record Span(long from, long to) {
    boolean meets(Span other) {
      return from < other.to && other.from < to;
    }
  }

  /** When each record of a portion was made, monotonic, ns; the greatest number for never. */
  private record Portion(long number, long begun, long drained, long filled) {}

  WaterJudge(WaterRig rig, String name) {
    this.rig = rig;
    tank = rig.file.tank(name);
    samples = rig.water.ask(tank.name(), WaterTank::samples);
    drains = rig.water.ask(tank.name(), t -> spans(t.drain));
    fills = rig.water.ask(tank.name(), t -> spans(t.fill));
    List<AuditRecord> drained = rig.records(tank.name(), Kind.DRAINED);
    List<AuditRecord> filled = rig.records(tank.name(), Kind.FILLED);
    for (AuditRecord begun : rig.records(tank.name(), Kind.PORTION)) {
      long number = number(begun);
      portions.add(
          new Portion(
              number, begun.monoMillis() * MILLI, when(number, drained), when(number, filled)));
    }
  }

  private static long number(AuditRecord record) {
    return (Long) record.fields().get("portion");
  }

  private static long when(long number, List<AuditRecord> records) {
    List<AuditRecord> those = records.stream().filter(r -> number(r) == number).toList();
    assertThat(those).as("portion %d is judged once", number).hasSizeLessThanOrEqualTo(1);
    return those.isEmpty() ? Long.MAX_VALUE : those.get(0).monoMillis() * MILLI;
  }

  private static List<Span> spans(SimulatedDevice device) {
    List<Span> spans = new ArrayList<>();
    List<Switch> switches = device.switches();
    for (int i = 0; i < switches.size(); i += 2) {
      long to = i + 1 < switches.size() ? switches.get(i + 1).monoNanos() : Long.MAX_VALUE;
      spans.add(new Span(switches.get(i).monoNanos(), to));
    }
    return spans;
  }

  /** What must be so at any time. */
  WaterJudge judge() {
    levelInRange();
    nothingDrainedTwice();
    if (!tank.paired()) {
      neverBothAtOnce();
      filledOnlyAfterItWasJudged();
    }
    auditIsSound();
    return this;
  }

  WaterJudge levelInRange() {
    assertThat(samples)
        .as("the water of %s is never out of its range", tank)
        .allMatch(s -> s.millimetres() > WaterFile.LOW_MILLIMETRES)
        .allMatch(s -> s.millimetres() < WaterFile.HIGH_MILLIMETRES);
    return this;
  }

  private void nothingDrainedTwice() {
    assertThat(portions.stream().map(Portion::number)).doesNotHaveDuplicates().isSorted();
    for (int i = 0; i < portions.size(); i++) {
      Portion portion = portions.get(i);
      long end = i + 1 < portions.size() ? portions.get(i + 1).begun() : Long.MAX_VALUE;
      assertThat(outAt(end) - outAt(portion.begun()))
          .as("litres out of %s in portion %d", tank, portion.number())
          .isLessThanOrEqualTo(tank.portionLitres() + OVERRUN_LITRES);
      Span judged = new Span(portion.drained(), end);
      assertThat(drains)
          .as("drained after what went out was judged, portion %d", portion.number())
          .noneMatch(drain -> drain.meets(judged));
    }
    assertThat(outAt(Long.MAX_VALUE))
        .as("litres out of %s in all", tank)
        .isLessThanOrEqualTo(tank.portions() * tank.portionLitres() + OVERRUN_LITRES);
    assertThat(outAt(portions.isEmpty() ? Long.MAX_VALUE : portions.get(0).begun()))
        .as("litres out before any portion")
        .isZero();
  }

  private double outAt(long nanos) {
    return samples.stream()
        .filter(sample -> sample.nanos() <= nanos)
        .reduce((one, next) -> next)
        .map(WaterTank.Sample::outLitres)
        .orElse(0.0);
  }

  private void neverBothAtOnce() {
    for (Span drain : drains) {
      assertThat(fills).as("filled while it drains").noneMatch(fill -> fill.meets(drain));
    }
  }

  private void filledOnlyAfterItWasJudged() {
    assertThat(fills)
        .allMatch(
            fill ->
                portions.stream()
                    .anyMatch(p -> p.drained() <= fill.from && fill.from < p.filled()));
  }

  private void auditIsSound() {
    try {
      AuditVerifier.Verdict verdict =
          AuditVerifier.verify(new DirectoryFiles(rig.auditDirectory()), null);
      assertThat(verdict.isGood()).as("%s", verdict.firstBad()).isTrue();
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  /** Top-off let nothing in while a portion was under way. */
  WaterJudge neverToppedOffInAPortion() {
    for (Portion portion : portions) {
      assertThat(toppedAt(portion.filled()) - toppedAt(portion.begun()))
          .as("fresh water in portion %d", portion.number())
          .isZero();
    }
    return this;
  }

  private double toppedAt(long nanos) {
    return samples.stream()
        .filter(sample -> sample.nanos() <= nanos)
        .reduce((one, next) -> next)
        .map(WaterTank.Sample::toppedLitres)
        .orElse(0.0);
  }

  /** What was due went out, in whole portions, and the water is where it was. */
  WaterJudge allIsDone() {
    assertThat(portions).allMatch(p -> p.filled() < Long.MAX_VALUE);
    WaterTank.Sample first = samples.get(0);
    WaterTank.Sample last = samples.get(samples.size() - 1);
    assertThat(Math.abs(last.outLitres() - last.inLitres()))
        .as("out and in apart, L")
        .isLessThan(WaterFile.IMBALANCE_LITRES);
    // Less than half of one is left; of those that count whole nobody knows how much went out.
    long whole = rig.records(tank.name(), Kind.FILLED).stream().filter(this::countsWhole).count();
    assertThat(last.outLitres())
        .isGreaterThan((tank.portions() - whole - 0.55) * tank.portionLitres());
    double within = backWithin() + (tank.paired() && whole > 0 ? cutOffMillimetres() : 0);
    assertThat(last.millimetres())
        .isBetween(first.millimetres() - within, first.millimetres() + within);
    assertThat(booked("out-ml") - booked("in-ml"))
        .as("out and in apart in the books as in truth, L")
        .isCloseTo(
            last.outLitres() - last.inLitres(), offset(backWithin() * LITRES_PER_MILLIMETRE));
    return this;
  }

  /** A pair that is cut off is not run again: what one head moved before the other did stays. */
  private static double cutOffMillimetres() {
    return OVERRUN_LITRES / LITRES_PER_MILLIMETRE;
  }

  private double booked(String field) {
    return rig.records(tank.name(), Kind.FILLED).stream()
            .mapToLong(filled -> (Long) filled.fields().get(field))
            .sum()
        / 1000.0;
  }

  /** What a portion that is done takes of the night's share, L: a crash while it drains, all. */
  double counted(AuditRecord filled) {
    double out = (Long) filled.fields().get("out-ml") / 1000.0;
    return countsWhole(filled) ? Math.max(out, tank.portionLitres()) : out;
  }

  private boolean countsWhole(AuditRecord filled) {
    Portion portion =
        portions.stream().filter(p -> p.number() == number(filled)).findFirst().orElseThrow();
    long known = Math.min(portion.drained(), portion.filled());
    return rig.records("", Kind.START).stream()
        .mapToLong(start -> start.monoMillis() * MILLI)
        .anyMatch(start -> portion.begun() <= start && start <= known);
  }

  /** What noise, waves and rounding may make of a level, and what evaporated meanwhile, mm. */
  private double backWithin() {
    double hours = (samples.get(samples.size() - 1).nanos() - samples.get(0).nanos()) / 3.6e12;
    return 2 + hours / 24 / LITRES_PER_MILLIMETRE;
  }
}
