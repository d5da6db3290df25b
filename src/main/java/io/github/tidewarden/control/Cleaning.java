package io.github.tidewarden.control;

import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Amount;
import io.github.tidewarden.quantity.UnitCode;
import java.math.BigDecimal;
import java.util.LinkedHashMap;
import java.util.Map;

/**
 * A probe was cleaned. For a day it may read anything, so it is recorded as a hold of ozone, which
 * a keeper who knows better may release as any other.
 */
record Cleaning(String probe, String text) implements Deed {

  private static final Amount DAY = new Amount(BigDecimal.valueOf(24), UnitCode.HOURS);

  @Override
  public Deed.Recorded judge(Deed.Place place) throws Deed.RefusedException {
    place.ozone(probe);
    Deed.Recorded hold =
        new Holding(TankFunction.OZONE.word(), DAY, "", probe + " was cleaned" + Deed.because(text))
            .judge(place);
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.ACT, Deed.HOLD);
    fields.put(Fields.CLEANED, probe);
    fields.putAll(hold.fields());
    return new Deed.Recorded(
        hold.name(), hold.text(), "noted that " + probe + " was cleaned: " + hold.told(), fields);
  }
}
