package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.function.BooleanSupplier;

/**
 * Days of exchange that the real core recorded on the water bench, for those who read records. Each
 * is of the tank {@code lagoon} of the shipped configuration, with one window for the exchange from
 * 13:00 to 22:00 in Lisbon, the night of 14 January 2026.
 */
public final class RecordedWater {
  private static final Duration PORTION = Duration.ofMinutes(20);

  private final WaterBench bench;

  private RecordedWater(long seed) {
    bench = new WaterBench(seed, WaterBench.OPENS.minusSeconds(1200));
    bench.connects();
    bench.live(1190);
  }

  /** Just before the window opens, and nothing confirmed. */
  public static RecordedWater unconfirmed(long seed) {
    return new RecordedWater(seed);
  }

  /** The same, with new water that was confirmed. */
  public static RecordedWater evening(long seed) {
    RecordedWater water = new RecordedWater(seed);
    water.bench.confirmsBatch();
    return water;
  }

  /** What the core needs to know of the site. */
  public static SiteSpec site() {
    return WaterBench.lagoon();
  }

  /** Everything recorded so far. */
  public List<AuditRecord> records() {
    return List.copyOf(bench.records);
  }

  /** What the core holds true now. */
  public SiteMemory memory() {
    return bench.state.remembered();
  }

  /** What a segment that begins now opens with. */
  public AuditRecord checkpoint() {
    return AuditRecord.of(
        bench.now(), "", Kind.CHECKPOINT, "", Map.of("state", Checkpoint.of(memory())));
  }

  /** All sensors speak at 1 Hz for some seconds. */
  public RecordedWater live(int seconds) {
    bench.live(seconds);
    return this;
  }

  /** Until the portion under way is draining, or what comes after that. */
  public RecordedWater untilPhase(String phase) {
    return until(() -> bench.phase().equals(phase), phase);
  }

  /** Until so many portions are done. */
  public RecordedWater untilDone(int portions) {
    return until(() -> bench.records(Kind.FILLED).size() >= portions, "portion " + portions);
  }

  /** Until something latches. */
  public RecordedWater untilLatched() {
    return until(() -> !bench.latches().isEmpty(), "a latch");
  }

  private RecordedWater until(BooleanSupplier is, String what) {
    assertThat(bench.liveUntil(is, PORTION)).as(what).isTrue();
    return this;
  }

  /** Time passes without a reading. */
  public RecordedWater jumpsTo(String instant) {
    bench.jumpsTo(Instant.parse(instant));
    return this;
  }

  /** The keeper confirms the new water. */
  public RecordedWater confirms() {
    bench.confirmsBatch();
    return this;
  }

  /** A keeper, rosa, asks for something that is done. Further fields are name and value in turn. */
  public RecordedWater asks(String act, String... said) {
    Effect.Answer answer = bench.asks(act, said);
    assertThat(answer.done()).as(answer.what()).isTrue();
    return this;
  }

  /** The daemon dies, and starts again at once. */
  public RecordedWater crash() {
    bench.restarts(5);
    bench.connects();
    return this;
  }

  /** The floor is wet, or dry. */
  public RecordedWater floor(String is) {
    bench.floor = is;
    return this;
  }

  /** The return pump runs, or stands. */
  public RecordedWater returnRuns(boolean runs) {
    bench.returnRuns = runs;
    return this;
  }

  /** Somebody fills the bin, or empties it. */
  public RecordedWater bin(double litres) {
    bench.binLitres = litres;
    return this;
  }

  /** The drain pump moves so much. */
  public RecordedWater drains(double litresPerMinute) {
    bench.drainLitresPerMinute = litresPerMinute;
    return this;
  }
}
