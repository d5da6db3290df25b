package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import io.github.tidewarden.audit.Lines;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.RollingTotal;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneOffset;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import org.junit.jupiter.api.Test;

/** What must survive: invariants 8 and 10 of DEVELOPERS.md. */
class MemoryTest {

  @Test
  void aPastThatCannotBeReadBackStartsEveryTankLatched() {
    SiteSpec spec = Specs.site(Specs.lagoon(), Specs.lagoon("reef", "lab/reef"));
    Bench bench = new Bench(spec, Bench.WINDOW_OPENS.minusSeconds(3600));
    Site.Result result =
        bench.site.boot(
            SiteMemory.BLANK, "boot-1", "a segment has another hash", false, Map.of(), bench.now());
    List<AuditRecord> records =
        result.effects().stream().map(effect -> ((Effect.Write) effect).record()).toList();
    assertThat(records).extracting(AuditRecord::kind).containsExactly(Kind.RECOVERED, Kind.START);
    SiteMemory again = SiteMemory.BLANK.knowing(spec.tanks());
    for (AuditRecord record : records) {
      again = again.apply(record);
    }
    assertThat(Checkpoint.of(again)).isEqualTo(Checkpoint.of(result.state().remembered()));
    for (String tank : List.of("lagoon", "reef")) {
      assertThat(again.tank(tank).latches())
          .containsExactly(Map.entry("audit-unreadable", "a segment has another hash"));
    }
  }

  /**
   * After a power cut the clock is wrong at first; what counts as spent is 24 h old after 24 h of
   * that boot's own time, and not only 24 h after somebody could date it.
   */
  @Test
  void whatCountsAsSpentIsDatedInTheBootThatFoundThePastUnreadable() {
    Bench bench = Bench.lagoon();
    Moment start = bench.now();
    Moment wrong = new Moment(start.wall().minus(Duration.ofDays(1)), start.monoNanos(), false);
    SiteMemory earlier =
        SiteMemory.BLANK
            .knowing(List.of(Specs.lagoon()))
            .apply(AuditRecord.of(start, "", Kind.START, "", Map.of("boot", "boot-1")));
    Site.Result result = bench.site.boot(earlier, "boot-2", "torn", false, Map.of(), wrong);
    TankMemory memory = result.state().remembered().tank("lagoon");
    Duration day = Duration.ofHours(24);
    long most = Duration.ofMinutes(HardLimits.MAX_OZONE_PER_24H_MINUTES).toMillis();
    assertThat(memory.spentIn24hMillis("boot-2", later(start, day.minusSeconds(1))))
        .isEqualTo(most);
    assertThat(memory.spentIn24hMillis("boot-2", later(start, day.plusSeconds(1)))).isZero();
    assertThat(memory.water().drainedIn24h("boot-2", later(start, day.plusSeconds(1)))).isZero();
  }

  /** And so it is over another power cut, once the clock had been trusted between the two. */
  @Test
  void whatCountsAsSpentKeepsItsDateOverAnotherPowerCut() {
    Bench bench = Bench.lagoon();
    Moment start = bench.now();
    Moment wrong = new Moment(start.wall().minus(Duration.ofDays(1)), start.monoNanos(), false);
    SiteMemory blank = SiteMemory.BLANK.knowing(List.of(Specs.lagoon()));
    Site.Result found = bench.site.boot(blank, "boot-2", "torn", false, Map.of(), wrong);
    Moment trusted = later(start, Duration.ofMinutes(10));
    Site.Result told =
        bench.site.step(found.state(), new Event.ClockChanged("it is trusted"), trusted);
    SiteMemory folded = blank;
    for (Site.Result result : List.of(found, told)) {
      for (Effect effect : result.effects()) {
        folded = effect instanceof Effect.Write write ? folded.apply(write.record()) : folded;
      }
    }
    assertThat(Checkpoint.of(folded)).isEqualTo(Checkpoint.of(told.state().remembered()));
    TankMemory memory = folded.tank("lagoon");
    for (int hours : new int[] {23, 25}) {
      Moment next = new Moment(start.wall().plus(Duration.ofHours(hours)), 60_000_000_000L, true);
      assertThat(memory.spentIn24hMillis("boot-3", next) > 0).isEqualTo(hours < 24);
      assertThat(memory.water().drainedIn24h("boot-3", next) > 0).isEqualTo(hours < 24);
    }
  }

  private static Moment later(Moment start, Duration by) {
    return new Moment(start.wall().plus(by), start.monoNanos() + by.toNanos(), true);
  }

  @Test
  void aLogThatWasOnlyMendedLatchesNothing() {
    Bench bench = Bench.lagoon();
    Site.Result result =
        bench.site.boot(SiteMemory.BLANK, "b", "a torn tail", true, Map.of(), bench.now());
    assertThat(result.state().remembered().tank("lagoon").latches()).isEmpty();
  }

  @Test
  void theUnreadablePastIsResetByTheKeeperLikeAnyLatch() {
    Bench bench = Bench.lagoon();
    Site.Result result =
        bench.site.boot(SiteMemory.BLANK, "b", "torn", false, Map.of(), bench.now());
    bench.state = result.state();
    bench.records.clear();
    Event reset =
        new Event.Asked(
            KeeperActTest.request(
                1, "reset", "lagoon", "audit-unreadable", "", "rosa", "1", bench.wall));
    Site.Result asked = bench.site.step(bench.state, reset, bench.now());
    long ticket = ((Effect.Write) asked.effects().get(0)).ticket();
    Site.Result done = bench.site.step(asked.state(), new Event.Synced(ticket), bench.now());
    assertThat(done.state().remembered().tank("lagoon").latches()).isEmpty();
  }

  @Test
  void theCheckpointHoldsAllOfIt() {
    Bench bench = Bench.lagoon();
    bench.windowOpens();
    bench.live(30);
    bench.steady(1, 421, 420);
    bench.restarts(Duration.ofSeconds(1));
    bench.connect();
    bench.steady(1, 421, 420);
    bench.says("lab/gallery/ozone", "120").live(31);
    bench.says("lab/gallery/ozone", "3");
    bench.event(
        new Event.Asked(
            KeeperActTest.request(1, "note", "lagoon", "", "t", "rosa", "id-1", bench.wall)));
    SiteMemory memory = bench.state.remembered();
    Map<String, Object> fields = Checkpoint.of(memory);
    assertThat(fields.toString())
        .contains("redox-ceiling", "room-ozone", "id-1", "spent=70000", "2026-01-14#0");
    assertThat(Checkpoint.of(Checkpoint.read(fields))).isEqualTo(fields);
    assertThat(Checkpoint.read(fields)).usingRecursiveComparison().isEqualTo(memory);
  }

  /** As the first version wrote it: each function with its only hold. */
  @Test
  void theOnlyHoldOfAnOlderCheckpointIsReadBack() {
    Map<String, Object> hold = new LinkedHashMap<>();
    hold.put("by", "Ines");
    hold.put("boot", "boot-1");
    hold.put("end-mono-ms", 0L);
    hold.put("end", "2026-12-05T12:00:00.000Z");
    hold.put("why", "copper");
    Map<String, Object> older = tankOfCheckpoint(TankMemory.BLANK);
    older.put("holds", Map.of("tank", hold));
    SiteMemory read = Checkpoint.read(withTank(older));
    assertThat(read.tank("lagoon").holds())
        .containsExactly(
            new Hold("tank", "Ines", "boot-1", 0, Instant.parse("2026-12-05T12:00:00Z"), "copper"));
    assertThat(Checkpoint.read(Checkpoint.of(read))).usingRecursiveComparison().isEqualTo(read);
    TankMemory released =
        read.tank("lagoon")
            .apply(record(Instant.EPOCH, Kind.ACT, Map.of("act", "release", "name", "tank")), BOOT);
    assertThat(released.holds()).as("an older release names no end").isEmpty();
  }

  /** As the first version wrote it: without what became known of a bin since. */
  @Test
  void theBinOfAnOlderCheckpointIsReadBack() {
    Map<String, Object> act = new LinkedHashMap<>();
    act.put(Fields.ACT, Deed.BATCH);
    act.put(Fields.BIN, "cellar");
    act.put(Fields.NIGHT, "2026-01-14");
    act.put(Fields.BY, "Ines");
    act.put(KeeperAct.ID, "7c2");
    act.put(Fields.SALINITY_UPSU, 35_000_000L);
    act.put(Fields.TEMPERATURE_MCEL, 25_000L);
    act.put(Fields.MIXED_MS, 3_600_000L);
    act.put(Fields.VOLUME_ML, 120_000L);
    act.put(Fields.BIN_ML, BinMemory.UNKNOWN);
    SiteMemory memory = SiteMemory.BLANK.apply(record(Instant.EPOCH, Kind.ACT, act));
    SiteMemory read = Checkpoint.read(Checkpoint.of(memory));
    assertThat(read.bin("cellar")).isEqualTo(memory.bin("cellar"));
    Map<String, Object> older = new LinkedHashMap<>(Checkpoint.of(memory));
    Map<String, Object> bin = copy(((Map<?, ?>) older.get("bins")).get("cellar"));
    assertThat(bin.remove("mixed")).isEqualTo(false);
    Map<String, Object> batch = copy(bin.get("batch"));
    assertThat(batch.remove(Fields.TEMPERATURE_MCEL)).isEqualTo(25_000L);
    bin.put("batch", batch);
    older.put("bins", Map.of("cellar", bin));
    BinMemory known = Checkpoint.read(older).bin("cellar");
    assertThat(known.mixed()).isFalse();
    assertThat(known.batch().milliCelsius()).isNull();
    assertThat(known.batch().by()).isEqualTo("Ines");
  }

  private static Map<String, Object> copy(Object map) {
    Map<String, Object> copy = new LinkedHashMap<>();
    ((Map<?, ?>) map).forEach((key, value) -> copy.put((String) key, value));
    return copy;
  }

  private static Map<String, Object> tankOfCheckpoint(TankMemory memory) {
    SiteMemory site =
        new SiteMemory(BOOT, Instant.EPOCH, List.of(), Map.of(), Map.of("lagoon", memory));
    return copy(((Map<?, ?>) Checkpoint.of(site).get("tanks")).get("lagoon"));
  }

  private static Map<String, Object> withTank(Map<String, Object> tank) {
    Map<String, Object> fields = new LinkedHashMap<>(Checkpoint.of(SiteMemory.BLANK));
    fields.put("tanks", Map.of("lagoon", tank));
    return fields;
  }

  @Test
  void aCheckpointThatLacksSomethingIsRefused() {
    Bench bench = Bench.lagoon();
    bench.windowOpens();
    Map<String, Object> whole = Checkpoint.of(bench.state.remembered());
    for (String name : whole.keySet()) {
      Map<String, Object> less = new LinkedHashMap<>(whole);
      less.remove(name);
      assertThatThrownBy(() -> Checkpoint.read(less))
          .as("without " + name)
          .isInstanceOf(IllegalArgumentException.class);
      less.put(name, 1.5);
      assertThatThrownBy(() -> Checkpoint.read(less))
          .as("another type of " + name)
          .isInstanceOf(IllegalArgumentException.class);
    }
  }

  /** What a version before wrote is read, with what it did not know as it was then. */
  @Test
  void aCheckpointOfTheVersionBeforeIsRead() {
    WaterBench bench = new WaterBench(1, WaterBench.OPENS.minusSeconds(300));
    bench.connects();
    bench.live(290);
    bench.confirmsBatch();
    assertThat(bench.liveUntil(() -> bench.on("fill"), Duration.ofMinutes(20))).isTrue();
    bench.restarts(5);
    bench.live(1);
    SiteMemory memory = bench.state.remembered();
    Map<String, Object> fields = Checkpoint.of(memory);
    assertThat(Checkpoint.read(fields)).usingRecursiveComparison().isEqualTo(memory);
    Map<String, Object> water = inner(inner(inner(fields, "tanks"), "lagoon"), "water");
    Map<String, Object> portion = inner(water, "open-portion");
    assertThat(portion.remove("refills")).isEqualTo(1L);
    portion.put("restarts", 2L);
    assertThat(inner(water, "top-off-held")).containsEntry("spent", 1_800_000L);
    water.remove("top-off-held");
    WaterMemory read = Checkpoint.read(fields).tank("lagoon").water();
    assertThat(read.topOffHeld()).isNull();
    assertThat(read.portion().refills()).as("any start may have been in the fill").isEqualTo(2);
    portion.put("filling", false);
    assertThat(Checkpoint.read(fields).tank("lagoon").water().portion().refills()).isZero();
  }

  @Test
  void aCheckpointThatKnewNothingOfTheCareOfTheInstallationIsRead() {
    Map<String, Object> older = tankOfCheckpoint(TankMemory.BLANK);
    assertThat(older.remove("care")).isNotNull();
    assertThat(Checkpoint.read(withTank(older)).tank("lagoon").care()).isEqualTo(CareMemory.BLANK);
  }

  @SuppressWarnings("unchecked")
  private static Map<String, Object> inner(Map<String, Object> map, String name) {
    return (Map<String, Object>) map.get(name);
  }

  @Test
  void aRecordThatLacksWhatItsKindMustHaveIsRefused() {
    Bench bench = Bench.lagoon();
    bench.windowOpens();
    SiteMemory memory = bench.state.remembered();
    for (Kind kind :
        List.of(
            Kind.START,
            Kind.RESERVED,
            Kind.REST,
            Kind.SETTLED,
            Kind.TRIP,
            Kind.SILENT,
            Kind.LATCHED,
            Kind.RECOVERED,
            Kind.ACT,
            Kind.WINDOW_OPENED,
            Kind.WINDOW_CLOSED,
            Kind.MISSED)) {
      AuditRecord empty = AuditRecord.of(bench.now(), "lagoon", kind, "", Map.of());
      assertThatThrownBy(() -> memory.apply(empty))
          .as(kind.word())
          .isInstanceOf(IllegalArgumentException.class);
    }
  }

  @Test
  void theMemoryOfATankThatTheConfigurationHasNoMoreIsKept() {
    Bench bench =
        new Bench(
            Specs.site(Specs.lagoon(), Specs.lagoon("reef", "lab/reef")),
            Bench.WINDOW_OPENS.minusSeconds(3600));
    bench.connect();
    bench.windowOpens();
    bench.says("lab/reef/redox/a", "425").live(40);
    Site lagoonOnly = new Site(Specs.site(Specs.lagoon()));
    Site.Result result =
        lagoonOnly.boot(bench.state.remembered(), "boot-2", "", true, Map.of(), bench.now());
    assertThat(result.state().remembered().tank("reef").latches()).containsKey("redox-ceiling");
  }

  @Test
  void aTankUnderANewNameStartsLatchedWhileTheOldOneHeldSomething() {
    Bench bench = Bench.lagoon();
    bench.windowOpens();
    bench.redox(425, 425).live(40);
    Site renamed = new Site(Specs.site(Specs.lagoon("reef", "lab/reef")));
    Site.Result result =
        renamed.boot(bench.state.remembered(), "boot-2", "", true, Map.of(), bench.now());
    assertThat(result.state().remembered().tank("reef").latches())
        .containsOnlyKeys(TankMemory.NEW_NAME);
    assertThat(result.effects())
        .filteredOn(Effect.Write.class::isInstance)
        .extracting(effect -> ((Effect.Write) effect).record().kind())
        .containsExactly(Kind.START, Kind.LATCHED);
  }

  @Test
  void aTankThatIsAddedStartsFree() {
    Bench bench = Bench.lagoon();
    bench.windowOpens();
    bench.redox(425, 425).live(40);
    Site more = new Site(Specs.site(Specs.lagoon(), Specs.lagoon("reef", "lab/reef")));
    Site.Result result =
        more.boot(bench.state.remembered(), "boot-2", "", true, Map.of(), bench.now());
    assertThat(result.state().remembered().tank("reef").latches()).isEmpty();
  }

  @Test
  void whatAVanishedTankSpentDaysAgoLatchesNothing() {
    Bench bench = Bench.lagoon();
    bench.windowOpens();
    bench.live(100);
    bench.passes(Duration.ofHours(30));
    Site renamed = new Site(Specs.site(Specs.lagoon("reef", "lab/reef")));
    Site.Result result =
        renamed.boot(bench.state.remembered(), "boot-2", "", true, Map.of(), bench.now());
    assertThat(result.state().remembered().tank("reef").latches())
        .as("a run that was open then counts until it is known to be over")
        .containsOnlyKeys(TankMemory.NEW_NAME);
    bench.event(new Event.Tick());
    bench.live(40);
    bench.passes(Duration.ofHours(30));
    result = renamed.boot(bench.state.remembered(), "boot-2", "", true, Map.of(), bench.now());
    assertThat(result.state().remembered().tank("reef").latches()).isEmpty();
  }

  @Test
  void theClosedWindowsThatAreRememberedAreBounded() {
    TankMemory memory = TankMemory.BLANK;
    Bench bench = Bench.lagoon();
    for (int i = 0; i < 1000; i++) {
      memory =
          memory.apply(
              AuditRecord.of(
                  bench.now(), "lagoon", Kind.MISSED, "", Map.of("window", "2026-01-14#" + i)),
              "b");
    }
    assertThat(memory.closed()).hasSize(TankMemory.MOST_CLOSED).last().isEqualTo("2026-01-14#999");
  }

  /** The records of a night with so many runs of 100 s, a window's opening first. */
  private static TankMemory aNight(TankMemory before, LocalDate night, int runs) {
    TankMemory memory = before;
    Instant opens = night.plusDays(1).atTime(1, 30).toInstant(ZoneOffset.UTC);
    Map<String, Object> window = Map.of("night", night.toString(), "window", night + "#0");
    memory = memory.apply(record(opens, Kind.WINDOW_OPENED, window), BOOT);
    for (int run = 0; run < runs; run++) {
      Instant at = opens.plusSeconds(300L * run);
      long number = memory.lastRun() + 1;
      memory =
          memory.apply(
              record(
                  at,
                  Kind.RESERVED,
                  Map.of("night", night.toString(), "run", number, "reserve-ms", 300_000L)),
              BOOT);
      memory =
          memory.apply(
              record(
                  at.plusSeconds(100),
                  Kind.SETTLED,
                  Map.of("run", number, "spent-ms", 100_000L, "over-in-ms", 0L)),
              BOOT);
    }
    return memory.apply(record(opens.plusSeconds(7200), Kind.WINDOW_CLOSED, window), BOOT);
  }

  private static final String BOOT = "0b1c2d3e-1111-4222-8333-444455556666";

  private static AuditRecord record(Instant at, Kind kind, Map<String, Object> fields) {
    Moment moment = new Moment(at, at.toEpochMilli() * 1_000_000, true);
    return AuditRecord.of(moment, "lagoon", kind, "", fields);
  }

  @Test
  void whatIsPast24hIsOneSpendANightAndNothingOfItIsLost() {
    LocalDate night = LocalDate.parse("2026-01-01");
    TankMemory memory = TankMemory.BLANK;
    for (int i = 0; i < 60; i++) {
      memory = aNight(memory, night, 24);
      assertThat(memory.total().spends().size()).isLessThanOrEqualTo(2 * 24 + 3);
      assertThat(memory.spentInNightMillis(night)).isEqualTo(2_400_000);
      if (i > 0) {
        assertThat(memory.spentInNightMillis(night.minusDays(1))).isEqualTo(2_400_000);
      }
      night = night.plusDays(1);
    }
    Moment noon =
        new Moment(
            night.atTime(12, 0).toInstant(ZoneOffset.UTC),
            night.atTime(12, 0).toInstant(ZoneOffset.UTC).toEpochMilli() * 1_000_000,
            true);
    assertThat(memory.spentIn24hMillis(BOOT, noon)).isEqualTo(2_400_000);
  }

  /**
   * A board has up to fifty tanks (DEVELOPERS.md, D60); each segment opens with a checkpoint. One
   * that did not fit would end every permission until somebody mends it by hand.
   */
  @Test
  void theCheckpointOfFiftyTanksFitsALine() {
    TankMemory memory = TankMemory.BLANK;
    for (int i = 0; i < 80; i++) {
      memory =
          aNight(memory, LocalDate.parse("2026-01-01").plusDays(i), 2 * RollingTotal.MOST_SPENDS);
    }
    assertThat(memory.total().spends()).hasSize(RollingTotal.MOST_SPENDS);
    memory = withTwoWeeksOfWater(memory);
    for (int i = 0; i < Hold.MOST; i++) {
      Map<String, Object> act = new LinkedHashMap<>();
      act.put("act", "hold");
      act.put("name", "exchange");
      act.put("by", "b".repeat(64));
      act.put("text", "t".repeat(1000));
      act.put("end", "2026-12-0" + (i + 1) + "T12:00:00.000Z");
      act.put("end-mono-ms", 0L);
      memory = memory.apply(record(Instant.EPOCH, Kind.ACT, act), BOOT);
    }
    assertThat(memory.holds()).hasSize(Hold.MOST);
    assertThat(memory.water().drained().spends())
        .hasSizeGreaterThanOrEqualTo(RollingTotal.MOST_SPENDS - 1);
    assertThat(memory.water().ledger().nights()).hasSize(7);
    Map<String, TankMemory> tanks = new TreeMap<>();
    for (int i = 0; i < 50; i++) {
      tanks.put("tank-" + i, memory);
    }
    SiteMemory site = new SiteMemory(BOOT, Instant.EPOCH, List.of(), Map.of(), tanks);
    AuditRecord checkpoint = record(Instant.EPOCH, Kind.CHECKPOINT, Checkpoint.of(site));
    assertThat(Lines.of(1, checkpoint).record().fields()).isEqualTo(Checkpoint.of(site));
  }

  /** A hundred portions a night, and every account that an exchange has. */
  private static TankMemory withTwoWeeksOfWater(TankMemory before) {
    TankMemory memory = before;
    for (int i = 0; i < 14 * 100; i++) {
      LocalDate night = LocalDate.parse("2026-04-01").plusDays(i / 100);
      Instant at = night.atTime(13, 0).toInstant(ZoneOffset.UTC).plusSeconds(i % 100 * 300L);
      memory = memory.apply(water(at, Kind.PORTION, night, i + 1), BOOT);
      memory = memory.apply(water(at.plusSeconds(200), Kind.FILLED, night, i + 1), BOOT);
      memory =
          i % 100 == 99
              ? memory.apply(water(at.plusSeconds(250), Kind.EXCHANGED, night, i + 1), BOOT)
              : memory;
    }
    return memory.apply(water(Instant.EPOCH, Kind.PORTION, LocalDate.EPOCH, 1_000_000), BOOT);
  }

  private static AuditRecord water(Instant at, Kind kind, LocalDate night, long number) {
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.NIGHT, night.toString());
    fields.put(Fields.PORTION, number);
    fields.put(Fields.WINDOW, night + "#0");
    for (String count :
        List.of(
            Fields.PORTION_ML,
            Fields.BEFORE_UM,
            Fields.TARGET_UM,
            Fields.BIN_ML,
            Fields.SALINITY_UPSU,
            Fields.WATER_ML,
            Fields.SALT_OFF,
            Fields.SALT_NIGHT,
            Fields.OUT_ML,
            Fields.IN_ML,
            Fields.DRAIN_RATE,
            Fields.FILL_RATE,
            Fields.SALT,
            Fields.SALT_DRIFT)) {
      fields.put(count, 12_345_678L);
    }
    fields.put(Fields.KEPT, 998_000_000L);
    return record(at, kind, fields);
  }

  @Test
  void kindsHaveTheirWords() {
    assertThat(Kind.WINDOW_OPENED.word()).isEqualTo("window-opened");
    assertThat(Kind.ACT_REFUSED.word()).isEqualTo("act-refused");
  }
}
