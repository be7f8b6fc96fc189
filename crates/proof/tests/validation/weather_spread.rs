//! How far synthetic years and months differ, against the records that say how far they should.

use sun::YearSky;
use weather::synthesis::spread::{
    LOWEST_OF_TWENTY, MONTHS_OVER_CHAIN, Spread, YEARS_OVER_CHAIN, YEARS_OVER_CHAIN_OF_ONE,
};
use weather::{Generator, Normals, Year};

use crate::cases::rows;
use crate::record::{Allowed, Largest, Section, Standing};
use crate::weather_against::lowest_kwh;
use crate::weather_rows::{YEARS, moments};

/// What the nine climates show, gathered while their years are at hand.
#[derive(Default)]
pub(crate) struct Spreads {
    years: Largest,
    months: Largest,
    words: Vec<String>,
    lowest: f64,
    highest: f64,
}

impl Spreads {
    /// Looks at the years of one climate.
    pub(crate) fn see(&mut self, name: &str, generator: &Generator, years: &[Year]) {
        let said = generator.spread();
        let light: Vec<[f64; 12]> = years.iter().map(Year::monthly_ghi_kwh_m2_day).collect();
        let totals: Vec<f64> = years.iter().map(|year| year.ghi_w_m2.iter().sum::<f64>() / 1000.0).collect();
        let (mean, deviation) = moments(&totals);
        let found = deviation / mean;
        self.years.see(100.0 * (found / said.of_years() - 1.0));
        let of = |month: usize| {
            let (mean, deviation) = moments(&light.iter().map(|year| year[month]).collect::<Vec<f64>>());
            deviation / mean
        };
        // A month of twilight, or one held down by the clear bound, is no guide.
        let usual = (0..12).filter(|month| {
            said.month_shares[*month] > 0.01 && !generator.unreachable_months().contains(month)
        });
        usual.for_each(|month| self.months.see(100.0 * (of(month) / said.of_month(month) - 1.0)));
        let dullest = |of: &[f64]| of.iter().copied().fold(f64::MAX, f64::min);
        let twenties: Vec<f64> = totals.chunks(20).map(|some| 1.0 - dullest(some) / mean).collect();
        let december = match said.month_shares[11] > 0.0 {
            true => format!(
                "December {:.0}, {:.0}, {:.0} %",
                100.0 * said.chain_months[11],
                100.0 * said.of_month(11),
                100.0 * of(11)
            ),
            false => "no sun in December".to_owned(),
        };
        self.words.push(format!(
            "{name} {:.1}, {:.1}, {:.1} %, {december}, dullest of 20 years {:.0} % below the mean",
            100.0 * said.chain,
            100.0 * said.of_years(),
            100.0 * found,
            100.0 * twenties.iter().sum::<f64>() / twenties.len() as f64
        ));
        self.lowest = if self.words.len() == 1 { said.of_years() } else { self.lowest.min(said.of_years()) };
        self.highest = self.highest.max(said.of_years());
    }

    pub(crate) fn rows(&self, section: &mut Section) {
        let records = [maritime(), continental()];
        let ratio = |of: &dyn Fn(&Record) -> (f64, f64)| {
            let (squares, weights) = records.iter().fold((0.0, 0.0), |(squares, weights), record| {
                let (ratio, weight) = of(record);
                (squares + weight * ratio * ratio, weights + weight)
            });
            (squares / weights).sqrt()
        };
        let own = records.each_ref().map(Record::years_over_chain);
        let mut stated = Largest::default();
        stated.see(ratio(&|r| (r.years_over_chain(), r.years - 1.0)) - YEARS_OVER_CHAIN);
        stated.see(ratio(&|r| (r.months_over_chain(), r.years - 1.0)) - MONTHS_OVER_CHAIN);
        stated.see(own[0].min(own[1]) - YEARS_OVER_CHAIN_OF_ONE.0);
        stated.see(own[0].max(own[1]) - YEARS_OVER_CHAIN_OF_ONE.1);
        section.row(
            &format!(
                "What is added to the spread of sums of days: years {YEARS_OVER_CHAIN} and months {MONTHS_OVER_CHAIN} times the \
                 chain's own, single records {} to {}",
                YEARS_OVER_CHAIN_OF_ONE.0, YEARS_OVER_CHAIN_OF_ONE.1
            ),
            "deviations of two daily records over those of the chain fed with their own means, weighted by years less one \
             (`cases/solar/light_of_23_years.csv`, `light_of_31_years.csv`)",
            &stated,
            "",
            Allowed(0.0051, "half a unit of the stated digits: the figures were drawn from these records"),
            Standing::SecondHand,
        );
        for record in &records {
            section.found(
                &format!(
                    "Two hundred years fed with the means of a record of {} years, and the record",
                    record.years
                ),
                record.name,
                record.years as usize,
                &record.words(),
                record.caution,
                Standing::SecondHand,
            );
        }
        let other = |of: usize| 100.0 * own[1 - of] * records[of].chain.chain;
        section.found(
            "Each record left out: yearly spread it would be told by the other",
            "the record's own",
            2,
            &format!(
                "maritime {:.1} % for {:.1} %; continental {:.1} % for {:.1} %",
                other(0),
                100.0 * records[0].share,
                other(1),
                100.0 * records[1].share
            ),
            "two records are few: the deviation of some twenty-five years is itself known to 14 %, the rest is climate and instrument",
            Standing::SecondHand,
        );
        section.found(
            "Deviation of yearly sums and of December: by the days alone, as stated, as two hundred years show it",
            &format!(
                "stated: the ratios above. Usual for years: 2 to 5 % in the United States (Wilcox & Gueymard 2010), 4 to 6 % north of \
                 the Alps and less about the Mediterranean (Šúri et al. 2007); stated here {:.1} to {:.1} %",
                100.0 * self.lowest,
                100.0 * self.highest
            ),
            self.words.len(),
            &self.words.join("; "),
            &format!(
                "the published ranges name no place; by the normal law the dullest of 20 lies {LOWEST_OF_TWENTY} deviations below \
                 the mean, 5.6 % for a spread of 3 % and 11.2 % for 6 %"
            ),
            Standing::Remembered,
        );
        section.row(
            "Deviation of yearly sums of two hundred years",
            "what is stated to the owner",
            &self.years,
            "% of it",
            Allowed(15.0, "three standard errors of a deviation from 200 years, 5 % each"),
            Standing::Derived,
        );
        section.row(
            "Deviation of sums of a month",
            "what is stated to the owner",
            &self.months,
            "% of it",
            Allowed(21.0, "three standard errors of 200 years, twice: the chain's own share was measured on another 200"),
            Standing::Derived,
        );
    }
}

/// A daily record by months.
struct Record {
    name: &'static str,
    caution: &'static str,
    years: f64,
    share: f64,
    month_shares: [f64; 12],
    dullest: [String; 3],
    chain: Spread,
    generator: Generator,
    sky: YearSky,
}

fn maritime() -> Record {
    let place = [51.97, 5.67, 7.0, 1.0];
    Record::of(
        "light_of_23_years.csv",
        23.0,
        place,
        "daily light measured at Wageningen, 52° N, 1976 to 1999 (`cases/solar/light_of_23_years.csv`)",
        "measured; years grow brighter by 0.4 % a year, a part of which may be the instrument's",
    )
}

fn continental() -> Record {
    let place = [42.035, -93.0, 300.0, -6.0];
    Record::of(
        "light_of_31_years.csv",
        31.0,
        place,
        "daily light near 42° N 93° W, 1990 to 2020, modelled from temperature (`cases/solar/light_of_31_years.csv`)",
        "the record's light is modelled from temperature, which smooths its days and perhaps its months and years",
    )
}

impl Record {
    fn of(
        file: &str,
        years: f64,
        [latitude_deg, longitude_deg, elevation_m, utc_offset_h]: [f64; 4],
        name: &'static str,
        caution: &'static str,
    ) -> Self {
        let all = rows(file);
        let (whole, months) = all.split_first().expect("the year comes first");
        let twelve =
            |column: &str| -> [f64; 12] { std::array::from_fn(|month| months[month].number(column)) };
        let normals = Normals {
            latitude_deg,
            longitude_deg,
            elevation_m,
            utc_offset_h,
            ghi_kwh_m2_day: twelve("ghi"),
            mean_c: twelve("mean_c"),
            min_c: twelve("min_c"),
            max_c: twelve("max_c"),
            wind_m_s: [weather::ASSUMED_WIND_M_S; 12],
        };
        let sky = normals.sky().expect("a place");
        let generator = Generator::new(&normals, &sky).expect("normals");
        Self {
            name,
            caution,
            years,
            share: whole.number("share"),
            month_shares: twelve("share"),
            dullest: ["mean_c", "min_c", "max_c"].map(|column| whole.text(column).to_owned()),
            chain: generator.spread(),
            generator,
            sky,
        }
    }

    fn years_over_chain(&self) -> f64 {
        self.share / self.chain.chain
    }

    /// Root of the mean square of the twelve ratios.
    fn months_over_chain(&self) -> f64 {
        let ratios = self.month_shares.iter().zip(self.chain.chain_months).map(|(own, chain)| own / chain);
        (ratios.map(|ratio| ratio * ratio).sum::<f64>() / 12.0).sqrt()
    }

    fn words(&self) -> String {
        let years: Vec<Year> = (0..YEARS).map(|index| self.generator.year(&self.sky, 2024, index)).collect();
        let monthly: Vec<[f64; 12]> = years.iter().map(Year::monthly_ghi_kwh_m2_day).collect();
        let shares: [f64; 12] = std::array::from_fn(|month| {
            let (mean, deviation) = moments(&monthly.iter().map(|year| year[month]).collect::<Vec<f64>>());
            deviation / mean
        });
        let (mean_year, deviation) =
            moments(&years.iter().map(|year| year.ghi_w_m2.iter().sum::<f64>()).collect::<Vec<f64>>());
        let mean = |values: [f64; 12]| 100.0 * values.iter().sum::<f64>() / 12.0;
        let middling = |days: usize| {
            let mut all: Vec<f64> =
                years.iter().map(|year| lowest_kwh(&year.daily_ghi_wh_m2(), days)).collect();
            all.sort_by(f64::total_cmp);
            all[all.len() / 2]
        };
        format!(
            "years differ by {:.1} % (record), {:.1} % (days alone), {:.1} % (years made); months by {:.1} %, {:.1} %, {:.1} %; \
             December by {:.1} %, {:.1} %, {:.1} %; usual dullest 3, 5, 10 days {} kWh/m² (record), {:.2}, {:.2}, {:.2} (years made)",
            100.0 * self.share,
            100.0 * self.chain.chain,
            100.0 * deviation / mean_year,
            mean(self.month_shares),
            mean(self.chain.chain_months),
            mean(shares),
            100.0 * self.month_shares[11],
            100.0 * self.chain.chain_months[11],
            100.0 * shares[11],
            self.dullest.join(", "),
            middling(3),
            middling(5),
            middling(10)
        )
    }
}
