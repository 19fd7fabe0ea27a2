import type { Channel } from "../../model.js";

/** Words that mean the pack's own reading, whatever the quantity. */
export const OWN = `pack packs battery batteries batt bat batts lipo akku akkus akkupack batterie batterien bateria baterias batteria accu
    accus akumulator akumulatora akumulatoru akumulatory akumulator pakiet pakietu paquete pacco pakket batteri akku akun baterie
    aku pil bateri μπαταρια μπαταριας батарея батареи батарея акб аккумулятор аккумулятора акумулятор акумулятора 电池 電池 电池组 電池組
    バッテリー バッテリ 배터리 총 总 總 total totale totaal gesamt gesamte gesamter summe main haupt principal principale
    celkovy celkove celkova celkem calkowity calkowite общее общий общая суммарный toplam totalt samlet
    measured measurement measure meas gemessen gemessene gemessener messwert mesure mesuree medido medida misurato misurata
    gemeten matt malt zmierzony zmierzone namereny namerene izmerennyj measuredvalue
    actual ist istwert istwerte real aktuell momentan momentary instantaneous inst present now live effektiv reel effectif
    discharge discharging discharged entladung entlade entladen decharge descarga scarica ontlading ontlaad rozladowania
    rozladowanie vybijeni vybijeci urladdning udladning utladning purku разряда разряд разрядный розряду 放电 放電 방전
    terminal terminals klemme klemmen klemm borne bornes
    dc gleich value values val wert werte valeur valor valore waarde wartosc hodnota varde vaerdi verdi значение 值
    reading readings lectura lettura logged log recorded data daten donnees datos dati gegevens signal tot dis dsg disch dischg dchg
    of the for from and de du des la le les der die das dem den del della dello delle do da dos das el los las het een
    na w pro av af fra och og
    unit units einheit`;

/** Words that belong to a quantity and say nothing else of it. */
export const OWN_OF: Readonly<Record<Channel, string>> = {
  time: `elapsed test run running total since begin passed seconds sec secs s ms millis us micros milliseconds minutes minute min mins hours
    hour h days local system sys utc gmt log sample sampling record recording relative rel absolute abs clock stamp day of wall unix epoch test
    vergangen vergangene abgelaufen abgelaufene verstrichene ecoule ecoulee transcurrido transcorso verstreken uplynul uplynuly czas uplywajacy
    прошедшее 经过 運行 运行 测试 測試 経過 date datum hms iso`,
  voltage: `volts volt mv millivolts v`,
  current: `load amps amp ampere draw drawn consumption ma milliamps нагрузки`,
  temperature: `probe sensor ntc thermistor thermocouple tc sonde fuhler fuehler sonda sensore sensor czujnik cidlo capteur датчик 传感器 degrees
    degree grad grados gradi celsius fahrenheit kelvin t c deg`,
  power: `electrical elektrisch elektrische watts watt w electric discharge`,
  charge: `used drawn consumed removed delivered cumulative cum accumulated integrated entnommen entnommene verbraucht verbrauchte consumida
    consumata consommee verbruikt zuzyty mah ah extracted spent`,
  energy: `used drawn consumed removed delivered cumulative cum accumulated integrated entnommen entnommene verbraucht verbrauchte consumida consumata
    consommee verbruikt extracted wh spent`,
  cell: `voltage no nr number u v`,
};

/** Words that say a column is about something else than the pack's reading at this instant. */
export const OTHER = `mot chg bal lim amb sp geladen geladene phase phases phasen fase fasi faza faze motor motors moteur motore silnik moottori мотор мотора двигатель двигателя двигун 电机 電機 모터
    charger charging ladegerat lader lade laden chargeur cargador cargando caricatore carica oplader opladen laad ladowania ladowanie ladowarka nabijeni nabijeci
    nabijecka laddning laddare opladning lading lataus зарядка зарядки зарядный зарядное зарядного зарядки 充电 充電 充电器 충전
    balance balancer balancing balancieren equilibrage equilibrado bilanciamento balans balansowanie баланс балансир балансировка 均衡
    set setpoint setpoints setting settings setvalue soll sollwert consigne reglage consigna ajuste impostato impostazione ingesteld zadany zadana zadane nastaveny nastavena
    borvarde target targets ziel zielwert objetivo objectif cible obiettivo doel уставка задание заданный заданное 设定 設定 目标 目標 설정
    demand demanded command commanded cmd request requested requested desired gewunscht
    limit limits limited limiting grenze grenzwert limite limites limiet ograniczenie предел лимит 限制 上限 下限
    reference ref refs referenz referencia riferimento referentie odniesienia опорное опорный опора 参考 基準
    cutoff cut abschalt abschaltung entladeschluss coupure corte uitschakel odciecia отсечка отсечки 截止 终止
    open circuit ocv leerlauf ruhe vide vuoto vacio onbelast jalowe холостого 开路
    rest resting idle relaxed
    min max minimum maximum mins maxs lowest highest low high smallest largest worst best least most tiefste hochste kleinste grosste niedrigste minimal maximal
    minimale maximale minimo maximo maxima minima massimo massima najnizsze najwyzsze minimalne maksymalne макс минимум максимум минимальное максимальное 最小 最大 最低 最高
    최소 최대 peak peaks spitze spitzen crete pico picco piek szczytowy пиковый пик 峰值
    average averaged avg mean median mittel mittelwert mittlere mittlerer durchschnitt durchschnittlich durchschnittliche moyenne moyen moy media medio promedio gemiddelde gemiddeld srednia srednie sredni prumer prumerne
    medel gennemsnit gjennomsnitt keskiarvo среднее средний средняя середнє 平均 평균
    std stddev sigma stdev deviation variance noise
    filtered filter filt smoothed smooth smoothing gefiltert geglattet filtre filtree filtrado filtrata filtrato gefilterd filtrowany сглаженное сглаженный фильтр 滤波
    raw adc counts roh rohwert brut crudo grezzo ruw
    delta difference diff differenz spread imbalance drift spreizung ecart diferencia differenza verschil roznica разница 差 压差
    rate slope gradient derivative didt dvdt dqdv
    error err fehler erreur errore blad ошибка offset zero nullpunkt calibration cal tare
    nominal nenn rated nominell nominale nominel znamionowe номинальное номинальный 额定 標称
    calculated calc computed estimated estimate est model modelled modeled simulated simulation sim predicted theoretical berechnet geschatzt simuliert calcule calculado calcolato berekend obliczone расчетное расчетный 计算 估计
    percent percentage level soc soh dod
    room ambient ambiance ambience air outdoor outside indoor environment environmental surroundings raum zimmer umgebung umgebungs luft aussen ambiante piece ambiente aria aire sala stanza omgeving
    lucht kamer otoczenie otoczenia powietrza powietrze pokoj okoli vzduch rum luft omgivning omgivelse huone ymparisto комнатная комната окружающая окружающей среды воздух воздуха 室温 环境 環境 空气 주변
    inlet outlet intake exhaust water coolant cooling fan einlass auslass zuluft abluft wasser kuhlwasser eau acqua agua woda voda вода воды 水
    inside internal intern interne interna interno innen int junction chassis housing gehause enclosure cabinet box chamber kammer oven ofen
    controller control ctrl esc regler steller fahrtregler inverter variateur regolatore regelaar regulator falownik регулятор контроллер 控制器
    shunt shunts nebenschluss bypass 分流
    fet fets mosfet mosfets mos igbt transistor diode driver treiber bridge
    board pcb heatsink sink kuhlkorper radiator radiateur dissipatore resistor resistors widerstand widerstande chip cpu mcu gpu logger device gerat appareil strumento instrument platine leiterplatte
    bec receiver rx tx empfanger servo servos recepteur ricevente ontvanger odbiornik приемник
    aux auxiliary hilfs usb backup standby logic psu generator solar panel
    wire wires cable cables lead leads connector plug kabel leitung stecker cavo connettore draad stekker przewod провод провода разъем
    per je each jede
    setup previous prev next initial final start begin stop end ende anfang debut fin inicio inizio fine koniec
    step schritt stufe cycle zyklus stage segment pulse loop
    warning alarm alarms fault threshold schwelle schwellwert trip protection schutz alert cutback derating
    throttle gas rpm speed drehzahl duty pwm
    resistance impedance esr innenwiderstand
    dew point humidity feuchte`;

/** What says so of some quantities alone. */
export const OTHER_OF: Readonly<Record<Channel, string>> = {
  time: `step schritt cycle cycles charge rest pause interval delta dt period remaining rest left restzeit verbleibend restant stop end finish finished
    response exposure eta boot index idx number`,
  voltage: `charge charged cell cells lade full empty supply`,
  current: `charge charged cell cells regen lade`,
  temperature: `load loads last charge supply source ps resistive`,
  power: `charge charged lade regen loss heat`,
  charge: `charging regen recharge remaining left rest rated nominal design full`,
  energy: `charging charge charged regen recharge remaining left rest rated nominal design full`,
  cell: `charge count difference index`,
};
