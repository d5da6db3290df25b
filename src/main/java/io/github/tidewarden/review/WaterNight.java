package io.github.tidewarden.review;

import io.github.tidewarden.control.BinMemory;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.PumpMemory;
import io.github.tidewarden.control.TankMemory;
import io.github.tidewarden.control.WaterMemory;
import io.github.tidewarden.exchange.DailyShare;
import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.Portion;
import io.github.tidewarden.review.PortionStory.Stage;
import io.github.tidewarden.review.WaterStory.Account;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * What is told of one tank's exchange of water in one span.
 *
 * @param litres what was owed, and what became of it
 * @param portions of the night, and those that reach into the span
 * @param sums of the week and the year; null when they cannot be told from the records read
 * @param saltDrift what the salinity went in the night beside what explains it, millionths of a
 *     PSU; null without a salinity probe
 * @param pumps what is known of each pump; empty when it cannot be told from the records read
 * @param bin what is known of the new water; null when it cannot be told from the records read
 * @param quiet whether nothing of it happened in the span
 */
record WaterNight(
    Litres litres,
    List<PortionStory> portions,
    @Nullable Sums sums,
    @Nullable Long saltDrift,
    List<Pump> pumps,
    @Nullable Bin bin,
    boolean quiet) {

  /**
   * A night's share, mL; null where it is not known.
   *
   * @param closed when the account was closed; null while the night's windows are not over
   * @param owed the share; of an account that is not closed, as configured
   * @param out what went out; a portion under way or given up counts in full
   * @param in what came in
   * @param missed what lapsed; null while the account is not closed
   * @param enough whether what lapsed is less than a portion of it would be worth
   * @param why what held up the last portion; empty when nothing is recorded of it
   * @param unwatched why nobody watched in a part of the night; empty when somebody did
   */
  record Litres(
      @Nullable Mark closed,
      @Nullable Long owed,
      @Nullable Long out,
      @Nullable Long in,
      @Nullable Long missed,
      boolean enough,
      String why,
      String unwatched) {}

  /**
   * Sums as the daemon holds them.
   *
   * @param dayOut what went out at most in the 24 h to the end of the night's windows, mL; null
   *     while they are not over
   * @param weekOut what went out in the seven nights to this one, mL
   * @param weekNew which part of the water is new by them, compounded, millionths
   * @param year of the last night in which something was exchanged
   * @param yearOut what went out in it, mL
   * @param yearIn what came in in it, mL
   */
  record Sums(
      @Nullable Long dayOut, long weekOut, long weekNew, int year, long yearOut, long yearIn) {}

  /**
   * What is known of a pump, L/min; null where it is not.
   *
   * @param name of its actuator
   * @param configured what the present configuration says
   * @param calibrated what a keeper measured
   * @param moves what it moves by the level or the bin
   */
  record Pump(
      String name,
      @Nullable Double configured,
      @Nullable Double calibrated,
      @Nullable Double moves) {

    boolean isMeasured() {
      return calibrated != null || moves != null;
    }
  }

  /**
   * What is known of the new water.
   *
   * @param name of the bin
   * @param batch what was confirmed last; null when nothing is
   * @param drawn what came out of it since, mL
   * @param left what its sensor said last, mL; null for a bin without
   * @param filled the record that it was filled without a word; null when it was not
   * @param waits whether nothing is exchanged until a keeper confirms it
   * @param later who confirmed it after the span; empty when nobody did
   */
  record Bin(
      String name,
      BinMemory.@Nullable Batch batch,
      long drawn,
      @Nullable Long left,
      @Nullable Entry filled,
      boolean waits,
      String later) {}

  /** Whether no record read tells anything of it. */
  boolean isUnknown() {
    return litres.out() == null && portions.isEmpty();
  }

  /** Whether so much lapsed that it is worth a word. */
  boolean isMissed() {
    Long missed = litres.missed();
    return missed != null && missed > 0 && !litres.enough();
  }

  /** What is under way while the windows of the night are not over. */
  boolean isOpen() {
    return litres.closed() == null && !portions.isEmpty();
  }

  List<PortionStory> in(Stage stage) {
    return portions.stream().filter(portion -> portion.stage() == stage).toList();
  }

  /**
   * Tells of a tank.
   *
   * @param exchange as configured; null for a tank without, or one that only the records know
   * @return null for a tank without an exchange of which nothing is recorded
   */
  static @Nullable WaterNight of(
      String tank,
      @Nullable ExchangeSpec exchange,
      TankStory story,
      List<Entry> entries,
      Span span,
      Ledger ledger) {
    TankMemory all = ledger.tank(tank);
    WaterMemory memory = all == null ? null : all.water();
    List<PortionStory> portions = portions(story.water, memory, span);
    Account account = story.water.accounts.get(span.night());
    if (exchange == null && portions.isEmpty() && account == null) {
      return null;
    }
    return new WaterNight(
        account != null
            ? closed(account, exchange, story.unwatched.why(span.from(), span.to()))
            : open(exchange, memory, span.night()),
        portions,
        memory == null ? null : sums(memory, span.night(), account),
        drift(account, memory, portions),
        memory == null ? List.of() : pumps(exchange, memory),
        exchange == null || all == null
            ? null
            : bin(exchange, ledger, entries, Ledger.end(entries, span)),
        portions.stream().noneMatch(portion -> changes(portion, span))
            && (account == null || !account.at().isIn(span)));
  }

  private static boolean changes(PortionStory portion, Span span) {
    Mark began = portion.began();
    Mark ended = portion.ended();
    return ended == null || ended.isIn(span) || (began != null && began.isIn(span));
  }

  private static List<PortionStory> portions(
      WaterStory story, @Nullable WaterMemory memory, Span span) {
    List<PortionStory> portions = new ArrayList<>();
    Portion open = memory == null ? null : memory.portion();
    if (open != null && !story.portions.containsKey(open.number())) {
      portions.add(PortionStory.of(open));
    }
    story.portions.values().stream()
        .filter(portion -> portion.touches(span))
        .forEach(portions::add);
    return List.copyOf(portions);
  }

  private static Litres closed(Account account, @Nullable ExchangeSpec exchange, String unwatched) {
    Long owed = account.owed();
    Long missed = account.missed();
    double least =
        exchange == null || owed == null
            ? 0
            : owed / (double) DailyShare.portions(exchange) * Exchange.SMALLEST_SHARE;
    return new Litres(
        account.at(),
        owed,
        account.out(),
        account.in(),
        missed,
        missed != null && missed < least,
        account.why(),
        unwatched);
  }

  private static Litres open(
      @Nullable ExchangeSpec exchange, @Nullable WaterMemory memory, LocalDate night) {
    return new Litres(
        null,
        exchange == null ? null : Math.round(exchange.litresPerDay() * 1000),
        memory == null ? null : memory.drainedInNight(night),
        memory == null ? null : memory.ledger().inMillilitres(night),
        null,
        false,
        "",
        "");
  }

  private static Sums sums(WaterMemory memory, LocalDate night, @Nullable Account account) {
    return new Sums(
        account == null ? null : account.dayOut(),
        memory.ledger().weekOutMillilitres(night),
        memory.ledger().weekNewMillionths(night),
        memory.ledger().year(),
        memory.ledger().yearOutMillilitres(),
        memory.ledger().yearInMillilitres());
  }

  private static @Nullable Long drift(
      @Nullable Account account, @Nullable WaterMemory memory, List<PortionStory> portions) {
    if (portions.stream().noneMatch(PortionStory::salinity)) {
      return null;
    }
    if (account != null) {
      return account.saltDrift();
    }
    return memory == null ? null : Long.valueOf(memory.salt().night());
  }

  private static List<Pump> pumps(@Nullable ExchangeSpec exchange, WaterMemory memory) {
    return List.of(
        pump("drain", exchange == null ? null : exchange.drain(), memory.drain()),
        pump("fill", exchange == null ? null : exchange.fill(), memory.fill()));
  }

  private static Pump pump(
      String otherwise, ExchangeSpec.@Nullable Pump configured, PumpMemory memory) {
    PumpMemory known = configured == null ? memory : memory.of(configured.litresPerMinute());
    Double calibrated = known.calibrated() == 0 ? null : known.calibrated() / 1e6;
    Double moves = known.learnt() == 0 ? null : known.learnt() / 1e6;
    return configured == null
        ? new Pump(otherwise, null, calibrated, moves)
        : new Pump(configured.name(), configured.litresPerMinute(), calibrated, moves);
  }

  private static Bin bin(ExchangeSpec exchange, Ledger ledger, List<Entry> entries, int end) {
    String name = exchange.bin().name();
    BinMemory memory = ledger.bin(name);
    boolean waits = memory.batch() == null && exchange.bin().salinitySensor() == null;
    Entry filled = null;
    String later = "";
    for (Entry entry : entries) {
      if (!entry.text("bin").equals(name)) {
        continue;
      }
      boolean before = entry.mark().index() < end;
      if (before && waits && entry.kind() == Kind.NEW_WATER) {
        filled = entry;
      } else if (!before && later.isEmpty() && entry.text("act").equals("batch")) {
        later = entry.text("by");
      }
    }
    return new Bin(
        name,
        memory.batch(),
        memory.drawnMillilitres(),
        memory.leftMillilitres() == BinMemory.UNKNOWN ? null : memory.leftMillilitres(),
        filled,
        waits,
        later);
  }
}
