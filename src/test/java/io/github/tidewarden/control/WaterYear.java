package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.config.ConfigText;
import io.github.tidewarden.exchange.DailyShare;
import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.schedule.NightPlan;
import io.github.tidewarden.schedule.Nights;
import io.github.tidewarden.schedule.OpenWindow;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.util.DoubleSummaryStatistics;
import java.util.EnumMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Objects;
import java.util.Set;

/**
 * The whole core on the lagoon for as many days as one likes, and a keeper who fills the bin when
 * it gets low and confirms what is in it. From three minutes before a portion is due until it is
 * done the level speaks every second; else every 10 s, with the interlocks and the watch on a level
 * at rest going on. Each day is judged at its noon, and each stretch of days by what it exchanged.
 *
 * <p>What out and in are apart in the water itself counts from the beginning of its stretch: what a
 * level tells of a portion is 20 mL off by its noise, and that adds up over thousands of them. What
 * it comes to in a tank that evaporates and is topped off is a change of salinity, which is judged
 * for itself.
 */
final class WaterYear {

  /** How the lagoon exchanges its water, and by what that is measured. */
  enum Lagoon {
    /** As it is shipped. */
    PORTIONS,
    /** Two heads, and a sensor in the bin. */
    PAIRED,
    /** Two heads, and only what their drain pump should move. */
    PAIRED_UNMEASURED,
    /** The same, once a keeper has measured both into a jug. */
    PAIRED_CALIBRATED;

    SiteSpec site() {
      ConfigText text = ConfigText.lab();
      if (this != PORTIONS) {
        text = text.with("      per-day: 3 %", "      kind: paired\n      per-day: 3 %");
      }
      if (this == PAIRED_UNMEASURED || this == PAIRED_CALIBRATED) {
        text =
            text.with("      new-water:   {", "#")
                .with(
                    "    without: {", "    without: { new-water-sensor: counted from the ledger,");
      }
      return WaterBench.lagoon(text);
    }
  }

  private static final int STEP_SECONDS = 10;
  private static final Duration AHEAD = Duration.ofMinutes(3);
  private static final double OFF = 0.02;

  /** As the lagoon's salinity is to be kept. */
  private static final double LOW_PSU = 33.5;

  private static final double HIGH_PSU = 36.5;
  private static final double LOW_BIN_LITRES = 20;
  private static final double FULL_BIN_LITRES = 120;

  /** A fifth of a portion, as a standard deviation. */
  private static final double BIN_NOISE_LITRES = 0.1;

  /** What a keeper would have to see to, or should at least know; notices are looked at. */
  private static final Set<Kind> ALARMING =
      Set.of(Kind.TRIP, Kind.LATCHED, Kind.SILENT, Kind.FAULT, Kind.RECOVERED, Kind.ACT_REFUSED);

  private static final Set<String> TOLD_OF_PUMPS =
      Set.of(
          Exchange.Latch.DRAIN_DRIFTS.word(),
          Exchange.Latch.FILL_DRIFTS.word(),
          Exchange.Latch.TOP_OFF_SEEPS.word());

  final WaterBench bench;
  private final ExchangeSpec spec;
  private final ZoneId zone;
  private final double moved;
  private final Instant began;
  private NightPlan plan;

  // What was seen, from the lowest to the highest.
  private final DoubleSummaryStatistics levelsMm = new DoubleSummaryStatistics();
  private final DoubleSummaryStatistics salinitiesPsu = new DoubleSummaryStatistics();
  private final DoubleSummaryStatistics apartLitres = new DoubleSummaryStatistics();
  private final DoubleSummaryStatistics trulyApartLitres = new DoubleSummaryStatistics();
  private final DoubleSummaryStatistics shares = new DoubleSummaryStatistics();
  private final DoubleSummaryStatistics trueShares = new DoubleSummaryStatistics();
  private final DoubleSummaryStatistics drainsLearnt = new DoubleSummaryStatistics();
  private final DoubleSummaryStatistics fillsLearnt = new DoubleSummaryStatistics();
  private final Map<Kind, Integer> kinds = new EnumMap<>(Kind.class);
  private int binsFilled;
  private int judged;
  private double bookedLitres;
  private double apartBefore;

  /**
   * Up to the first noon, with new water that is confirmed.
   *
   * @param drains what the drain pump moves of what it should
   * @param fills the same of the fill pump
   */
  WaterYear(Lagoon lagoon, double drains, double fills) {
    SiteSpec site = lagoon.site();
    zone = site.zone();
    spec = Objects.requireNonNull(site.tanks().get(0).exchange());
    bench = new WaterBench(site, 365, Instant.parse("2026-01-14T11:30:00Z"));
    bench.binNoiseLitres = BIN_NOISE_LITRES;
    bench.drainLitresPerMinute *= drains;
    bench.fillLitresPerMinute *= fills;
    // Without a sensor in the bin only the drain pump's rate says what two heads moved.
    moved = lagoon == Lagoon.PAIRED_UNMEASURED ? drains : 1;
    plan = plan();
    began = noon(1);
    bench.connects();
    bench.live(60);
    bench.confirmsBatch();
    if (lagoon == Lagoon.PAIRED_CALIBRATED) {
      calibrates("drain", drains);
      calibrates("fill", fills);
    }
    until(noon(1));
    judge();
  }

  private void calibrates(String pump, double moves) {
    String jug = Math.round(500 * moves) + " mL";
    Effect.Answer answer = bench.asks("calibrate", "name", pump, "measured", jug, "for", "2 min");
    assertThat(answer.done()).as(answer.what()).isTrue();
  }

  private NightPlan plan() {
    return NightPlan.of(Nights.nightOf(bench.wall, zone), zone, spec.windows());
  }

  /** The beginning of the present night, or of one so many later. */
  private Instant noon(int nights) {
    return Nights.interval(Nights.nightOf(bench.wall, zone).plusDays(nights), zone).start();
  }

  // What happens.

  /** A stretch of so many days, noon to noon, which is to give its share. */
  void gives(int days) {
    double booked = bookedLitres;
    double drained = bench.drainedLitres;
    apartBefore = drained - bench.filledLitres;
    for (int day = 0; day < days; day++) {
      Instant noon = noon(1);
      until(noon.minus(Duration.ofHours(3)));
      seesToBin();
      until(noon);
      judge();
    }
    double share = days * spec.litresPerDay();
    shares.accept((bookedLitres - booked) / share);
    trueShares.accept((bench.drainedLitres - drained) / share);
    within(shares, 1 - OFF, 1 + OFF);
    within(trueShares, moved - OFF, moved + OFF);
  }

  /**
   * Power fails in the middle of a portion, for so long. Its devices drop out by themselves,
   * top-off goes on, and until the noon after that the portion is brought to its end.
   */
  void outage(Duration time) {
    apartBefore = bench.drainedLitres - bench.filledLitres;
    until(noon(0).plus(Duration.ofHours(4)));
    while (!bench.on("drain")) {
      passes(1);
    }
    until(bench.wall.plusSeconds(60));
    assertThat(bench.phase()).isEqualTo("DRAINING");
    long broken = Objects.requireNonNull(bench.memory().portion()).number();
    bench.isWithoutPower(time);
    assertThat(bench.phase()).isEqualTo("IDLE");
    assertThat(Objects.requireNonNull(bench.memory().portion()).number()).isEqualTo(broken);
    plan = plan();
    bench.connects();
    until(bench.wall.plusSeconds(60));
    bench.toppedWhilePortion = false; // there was nothing to hold it
    until(noon(1));
    // Nobody knows what went out of that portion; nothing else is amiss.
    assertThat(count())
        .filteredOn(WaterYear::alarms)
        .allMatch(r -> "drained-unseen".equals(r.fields().get(Fields.NAME)));
    judge();
    assertThat(bench.records(Kind.FILLED))
        .filteredOn(record -> record.fields().get(Fields.PORTION).equals(broken))
        .hasSize(1);
  }

  /** A keeper looks into the bin, and at what the daemon reckons to be left in it. */
  private void seesToBin() {
    BinMemory bin = bench.state.remembered().bin("lagoon");
    double left =
        (Objects.requireNonNull(bin.batch()).millilitres() - bin.drawnMillilitres()) / 1000.0;
    if (Math.min(bench.binLitres, left) < LOW_BIN_LITRES) {
      bench.binLitres = FULL_BIN_LITRES;
      binsFilled++;
      until(bench.wall.plus(Duration.ofMinutes(20)));
      bench.confirmsBatch();
    }
  }

  private void until(Instant end) {
    while (bench.wall.isBefore(end)) {
      long left = Duration.between(bench.wall, end).toSeconds();
      passes(isNearPortion() ? 1 : (int) Math.min(STEP_SECONDS, Math.max(1, left)));
    }
  }

  private void passes(int seconds) {
    bench.passes(seconds);
    apartLitres.accept(bench.memory().apartMillilitres() / 1000.0);
    drainsLearnt.accept(bench.memory().rates(spec).drain().off());
    fillsLearnt.accept(bench.memory().rates(spec).fill().off());
    trulyApartLitres.accept(bench.drainedLitres - bench.filledLitres - apartBefore);
    if (!plan.interval().contains(bench.wall)) {
      plan = plan();
    }
  }

  private boolean isNearPortion() {
    if (bench.memory().portion() != null) {
      return true;
    }
    Instant soon = bench.wall.plus(AHEAD);
    OpenWindow window = plan.openAt(soon);
    return window != null
        && DailyShare.dueLitres(spec, plan.windows(), soon)
                - bench.memory().drainedInNight(window.night()) / 1000.0
            >= spec.litresPerDay() / DailyShare.portions(spec) * Exchange.SMALLEST_SHARE;
  }

  // How it is judged.

  private void judge() {
    List<AuditRecord> news = count();
    assertThat(news).as(toString()).noneMatch(WaterYear::alarms);
    assertThat(bench.latches()).as(toString()).isEmpty();
    levelsMm.combine(bench.levelsMm);
    salinitiesPsu.combine(bench.salinitiesPsu);
    ExchangeSpec.Level level = Objects.requireNonNull(spec.level());
    within(levelsMm, level.lowMillimetres(), level.highMillimetres());
    within(salinitiesPsu, LOW_PSU, HIGH_PSU);
    within(apartLitres, -spec.imbalanceLitres(), spec.imbalanceLitres());
    within(trulyApartLitres, -spec.imbalanceLitres(), spec.imbalanceLitres());
    assertThat(bench.toppedWhilePortion).as(toString()).isFalse();
    bench.levelsMm = new DoubleSummaryStatistics();
    bench.salinitiesPsu = new DoubleSummaryStatistics();
  }

  private static boolean alarms(AuditRecord record) {
    // A pump that is 10 % off is told at 15 %, which the noise of a level makes of it now and then.
    return record.kind() == Kind.NOTICE
        ? !TOLD_OF_PUMPS.contains(String.valueOf(record.fields().get(Fields.NAME)))
        : ALARMING.contains(record.kind());
  }

  /** What was recorded since the last time. */
  private List<AuditRecord> count() {
    List<AuditRecord> news = bench.records.subList(judged, bench.records.size());
    judged = bench.records.size();
    for (AuditRecord record : news) {
      kinds.merge(record.kind(), 1, Integer::sum);
      if (record.kind() == Kind.FILLED) {
        bookedLitres += (Long) record.fields().get(Fields.OUT_ML) / 1000.0;
      }
    }
    return news;
  }

  private void within(DoubleSummaryStatistics seen, double low, double high) {
    assertThat(seen.getMin()).as(toString()).isGreaterThan(low);
    assertThat(seen.getMax()).as(toString()).isLessThan(high);
  }

  private static String range(DoubleSummaryStatistics of) {
    return String.format(Locale.ROOT, "%.3f to %.3f", of.getMin(), of.getMax());
  }

  @Override
  public String toString() {
    return String.format(
        Locale.ROOT,
        "%d days: level %s mm, salinity %s PSU, apart %s L (truly %s L), shares %s (truly %s),"
            + " pumps off by %s and %s,"
            + " %.1f L out and %.1f L in, bins %d, records %s",
        Duration.between(began, bench.wall).toDays(),
        range(levelsMm),
        range(salinitiesPsu),
        range(apartLitres),
        range(trulyApartLitres),
        range(shares),
        range(trueShares),
        range(drainsLearnt),
        range(fillsLearnt),
        bench.drainedLitres,
        bench.filledLitres,
        binsFilled,
        kinds);
  }
}
