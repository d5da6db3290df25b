package io.github.tidewarden.rehearsal;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.github.tidewarden.control.Effect;
import io.github.tidewarden.control.Hold;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.function.Function;
import org.jspecify.annotations.Nullable;

/**
 * The keeper in a rehearsal. Comes by once a day: fills and confirms what bin is less than half
 * full, empties what waste is more than half full, and pours fresh water in where no float valve
 * does it; lets go of what is latched when it is time. Believes that what is mixed is as salty as
 * it is meant to be.
 */
final class RehearsedKeeper {

  /** Below this share of what a bin holds the keeper fills it. */
  private static final double FILLS_BELOW = 0.5;

  /** Over this share of what a waste takes the keeper empties it. */
  private static final double EMPTIES_OVER = 0.5;

  /** How the latch of a pump that drifts is named, behind the pump. */
  private static final String DRIFTS = "-drifts";

  private static final String NAME = "rehearsal";
  private static final ObjectMapper JSON = new ObjectMapper();

  private final SiteSpec spec;
  private final Function<TankSpec, TankModel> models;
  private final RehearsedSite site;
  private long asked;

  RehearsedKeeper(SiteSpec spec, Function<TankSpec, TankModel> models, RehearsedSite site) {
    this.spec = spec;
    this.models = models;
    this.site = site;
  }

  /** Looks after bins and levels; what was refused, each with its reason. */
  List<String> visits() {
    List<String> refused = new ArrayList<>();
    Set<String> bins = new HashSet<>();
    for (TankSpec tank : spec.tanks()) {
      ExchangeSpec exchange = tank.exchange();
      if (exchange != null) {
        SimulatedTank water = site.rig().tank(tank.name()).tank();
        poursFreshWater(tank, water);
        SimulatedWaste waste = water.water().waste();
        if (waste.litres() > EMPTIES_OVER * waste.holdsLitres()) {
          waste.isEmptied();
        }
        if (bins.add(exchange.bin().name())) {
          String why = fills(tank, exchange.bin(), water.bin());
          if (why != null) {
            refused.add(why);
          }
        }
      }
    }
    return refused;
  }

  /** As high as the middle and half a day's evaporation, where no valve does it. */
  private void poursFreshWater(TankSpec tank, SimulatedTank water) {
    ExchangeSpec exchange = tank.exchange();
    ExchangeSpec.Level measured = exchange == null ? null : exchange.level();
    TankModel.Water model = models.apply(tank).water();
    if (measured != null && model.topOffLitresPerMinute() == 0) {
      double middle = (measured.lowMillimetres() + measured.highMillimetres()) / 2;
      water.makeGood(middle + model.evaporationLitresPerDay() / 2 / measured.litresPerMillimetre());
    }
  }

  private @Nullable String fills(TankSpec tank, ExchangeSpec.Bin bin, SimulatedBin water) {
    boolean known = site.memory().bin(bin.name()).batch() != null || bin.salinitySensor() != null;
    if (known && water.litres() > FILLS_BELOW * bin.holdsLitres()) {
      return null;
    }
    water.fill(bin.holdsLitres() - water.litres(), bin.salinityPsu() + newWaterOffPsu(tank));
    if (bin.salinitySensor() != null) {
      return null;
    }
    site.until(site.now().wall().plus(Duration.ofMinutes(3))); // its sensor has seen it by then
    String why = confirms(tank, water, Duration.ofHours(24));
    return why == null ? null : "the batch of " + bin.name() + " was refused: " + why;
  }

  private double newWaterOffPsu(TankSpec tank) {
    return models.apply(tank).fittings().newWaterOffPsu();
  }

  /**
   * Confirms what is in a bin; why that was refused, or null.
   *
   * @param mixedFor how long it has mixed by what the keeper says
   */
  @Nullable String confirms(TankSpec tank, SimulatedBin water, Duration mixedFor) {
    Map<String, String> act = new LinkedHashMap<>();
    act.put("salinity", String.format(Locale.ROOT, "%.3f PSU", water.psu() - newWaterOffPsu(tank)));
    act.put("temperature", "25 Cel");
    act.put("mixed-for", mixedFor.toMinutes() + " min");
    return asks(tank, "batch", act);
  }

  /** Holds a function for so long; why that was refused, or null. */
  @Nullable String holds(TankSpec tank, String function, Duration time) {
    return asks(tank, "hold", Map.of("name", function, "for", time.toMinutes() + " min"));
  }

  /** Lets go of every hold for a time; it makes no others. */
  void releases() {
    for (TankSpec tank : spec.tanks()) {
      for (Hold hold : site.memory().tank(tank.name()).holds()) {
        asks(tank, "release", Map.of("name", hold.name()));
      }
    }
  }

  /** Lets go of every latch of a tank; what was refused, each with its reason. */
  List<String> resets(TankSpec tank) {
    List<String> refused = new ArrayList<>();
    for (String latch : site.memory().tank(tank.name()).latches().keySet()) {
      calibrates(tank, latch);
      String why = asks(tank, "reset", Map.of("name", latch));
      if (why != null) {
        refused.add(latch + ": " + why);
      }
    }
    return refused;
  }

  /** A pump that moves something else than it should is calibrated before it may run again. */
  private void calibrates(TankSpec tank, String latch) {
    ExchangeSpec exchange = tank.exchange();
    if (exchange == null || !latch.endsWith(DRIFTS)) {
      return;
    }
    TankModel.Water model = models.apply(tank).water();
    boolean drains = latch.equals(exchange.drain().name() + DRIFTS);
    ExchangeSpec.Pump pump = drains ? exchange.drain() : exchange.fill();
    double factor = drains ? model.drainFactor() : model.fillFactor();
    double millilitres = 2000 * factor * pump.litresPerMinute();
    asks(
        tank,
        "calibrate",
        Map.of(
            "name",
            pump.name(),
            "measured",
            String.format(Locale.ROOT, "%.0f mL", millilitres),
            "for",
            "120 s"));
  }

  /** Asks for something and waits for the answer; why it was refused, or null when it was done. */
  private @Nullable String asks(TankSpec tank, String act, Map<String, String> more) {
    site.until(site.now().wall().plusSeconds(2)); // no more acts than a minute takes
    Map<String, String> request = new LinkedHashMap<>();
    request.put("act", act);
    request.put("tank", tank.name());
    request.putAll(more);
    request.put("by", NAME);
    request.put("id", NAME + "-" + ++asked);
    request.put("sent", site.board().wall().toString());
    long number;
    try {
      number = site.asks(JSON.writeValueAsString(request));
    } catch (JsonProcessingException e) {
      throw new IllegalStateException("a text that cannot be written", e);
    }
    site.until(site.now().wall().plusSeconds(1));
    Effect.Answer answer = site.answer(number);
    return answer == null ? "no answer" : answer.done() ? null : answer.what();
  }
}
