using CsCheck;

namespace Recipes.Imaging.Tests;

/// <summary>W3C Compositing and Blending Level 1, by the worked rows of Values/compositing_blend_worked.csv.</summary>
public class BlendTests
{
    private static readonly Row[] Rows = [.. ColorValues.Rows("compositing_blend_worked.csv").Select(Row.Read)];

    private sealed record Row(BlendMode Mode, double Cb, double Ab, double Cs, double As, double B, double Co, double Ao, int Co8)
    {
        public static Row Read(string[] cells)
        {
            var n = cells.Skip(1).Select(ColorValues.Number).ToArray();
            return new Row(Enum.Parse<BlendMode>(cells[0].Replace("-", "", StringComparison.Ordinal), true),
                n[0], n[1], n[2], n[3], n[4], n[5], n[6], (int)n[7]);
        }
    }

    [Fact]
    public void B_of_all_1200_rows_agrees()
    {
        Rows.Length.ShouldBe(1200);
        Rows.Select(row => row.Mode).Distinct().Count().ShouldBe(Enum.GetValues<BlendMode>().Length);
        foreach (var row in Rows)
        {
            Blend.Mix(row.Mode, row.Cb, row.Cs).ShouldBe(row.B, 1e-6, row.ToString());
        }
    }

    // Backdrop colors 0, 0.2, 0.8, 1 and source colors 0, 1 are whole levels (0, 51, 204, 255), and a source alpha of 0.5 is
    // an opaque pixel at opacity 0.5. The other colors of the table (0.25, 0.5, 0.75) fall between levels: B covers them.
    [Fact]
    public void Co8_agrees_where_the_inputs_are_whole_levels()
    {
        var rows = Rows.Where(row => IsLevel(row.Cb) && IsLevel(row.Cs)).ToList();
        rows.Count.ShouldBe(12 * 4 * 2 * 4);
        foreach (var row in rows)
        {
            var mixed = Blend.Over(Gray(row.Cb, row.Ab), Gray(row.Cs, 1), row.Mode, row.As);
            (mixed.R == mixed.G && mixed.G == mixed.B).ShouldBeTrue(row.ToString());
            // A backdrop alpha of 0.5 would be 127.5: it enters as 128, and the file's formulas are worked with 128/255.
            double ab = Level(row.Ab) / 255.0, ao = row.As + (ab * (1 - row.As));
            double co = ((row.As * (1 - ab) * row.Cs) + (row.As * ab * row.B) + ((1 - row.As) * ab * row.Cb)) / ao;
            ShouldBeLevel(mixed.R, co, row);
            ShouldBeLevel(mixed.A, ao, row);
            if (row.Ab == 1)
            {
                ShouldBeLevel(mixed.R, row.Co, row);
                ShouldBeLevel(mixed.A, row.Ao, row);
            }

            // The row's own rounding: half a level of alpha moves a color by less than half a level, so one step at most.
            Math.Abs(mixed.R - row.Co8).ShouldBeLessThanOrEqualTo(row.Ab == 1 && !IsTie(row.Co) ? 0 : 1, row.ToString());
        }
    }

    [Fact]
    public void Over_of_any_levels_follows_the_formula() =>
        Gen.Select(Cases.Bytes, Cases.Bytes, Gen.Enum<BlendMode>(), Gen.Double[0, 1]).Holds((below, above, mode, opacity) =>
    {
        var mixed = Blend.Over(below, above, mode, opacity);
        double s = above.A / 255.0 * opacity, b = below.A / 255.0, alpha = s + b - (s * b);
        ((double)mixed.A).ShouldBe(alpha * 255, 0.5 + 1e-9);
        if (mixed.A > 0)
        {
            Channel(below.R, above.R, mixed.R);
            Channel(below.G, above.G, mixed.G);
            Channel(below.B, above.B, mixed.B);
        }

        void Channel(double backdrop, double source, double result)
        {
            // Premultiplied first, as section 5.1 of the specification writes it: co = cs * as + cb * ab * (1 - as).
            double cs = ((1 - b) * source / 255) + (b * Blend.Mix(mode, backdrop / 255, source / 255));
            result.ShouldBe(((cs * s) + (backdrop / 255 * b * (1 - s))) / alpha * 255, 0.5 + 1e-9);
        }
    }, iter: 2000);

    // Section 5.6 of the specification: what the formulas give at the ends of alpha.
    [Fact]
    public void Nothing_over_a_backdrop_is_the_backdrop_and_anything_over_nothing_is_the_source() =>
        Gen.Select(Cases.Bytes, Cases.Bytes, Gen.Enum<BlendMode>()).Holds((below, above, mode) =>
        {
            Blend.Over(below, above, mode, 0).ShouldBe(below);
            Blend.Over(below, above.WithAlpha(0), mode, 1).ShouldBe(below);
            Blend.Over(below.WithAlpha(0), above.WithAlpha(200), mode, 1).ShouldBe(above.WithAlpha(200));
            Blend.Over(below, above.WithAlpha(255), BlendMode.Normal, 1).ShouldBe(above.WithAlpha(255));
        });

    // Values/porter_duff_worked.csv, row src-over, Cs 0.8, as 0.5, Cb 0.2, ab 0.75. An alpha of 0.75 is 191.25 levels and
    // enters as 191, hence one level.
    [Fact]
    public void Normal_is_source_over_of_Porter_and_Duff()
    {
        var row = ColorValues.Rows("porter_duff_worked.csv").Single(cells => cells[0] == "src-over").Skip(1).Select(ColorValues.Number).ToArray();
        var mixed = Blend.Over(Gray(0.2, 0.75), Gray(0.8, 1), BlendMode.Normal, 0.5);
        ((double)mixed.R).ShouldBe(row[4] * 255, 1);
        ((double)mixed.A).ShouldBe(row[3] * 255, 1);
        (mixed.R * mixed.A / 255.0).ShouldBe(row[2] * 255, 1);
    }

    [Fact]
    public void Replace_takes_the_place_wholly_or_not_at_all() => Gen.Select(Cases.Bytes, Cases.Bytes).Holds((below, above) =>
    {
        Blend.Replace(below, above, 1).ShouldBe(above);
        Blend.Replace(below, above, 0).ShouldBe(below);
    });

    // A weighted mean of the two pixels, premultiplied: dst-out by the share, then plus (Porter-Duff). Written in integers
    // of 255ths of a share here.
    [Fact]
    public void Replace_with_soft_coverage_mixes_premultiplied() => Gen.Select(Cases.Bytes, Cases.Bytes, Gen.Int[0, 255]).Holds((below, above, coverage) =>
    {
        var mixed = Blend.Replace(below, above, coverage / 255.0);
        long alpha = (above.A * coverage) + (below.A * (255 - coverage));
        ((double)mixed.A).ShouldBe(alpha / 255.0, 0.5 + 1e-9);
        if (mixed.A > 0)
        {
            Channel(below.R, above.R, mixed.R);
            Channel(below.G, above.G, mixed.G);
            Channel(below.B, above.B, mixed.B);
        }

        void Channel(int b, int a, double result) =>
            result.ShouldBe(((double)(a * above.A * coverage) + (b * below.A * (255 - coverage))) / alpha, 0.5 + 1e-9);
    }, iter: 2000);

    [Fact]
    public void Color_under_alpha_0_never_bleeds_in()
    {
        Rgba8 orange = new(240, 120, 20), hidden = new(0, 255, 255, 0);
        Blend.Replace(orange, hidden, 0.5).ShouldBe(orange.WithAlpha(128));
        Blend.Replace(hidden, orange, 0.5).ShouldBe(orange.WithAlpha(128));
        Blend.Over(hidden, orange, BlendMode.Multiply, 0.5).ShouldBe(orange.WithAlpha(128));
    }

    private static bool IsLevel(double channel) => Math.Abs((channel * 255) - Math.Round(channel * 255)) < 1e-9;

    private static byte Level(double channel) => (byte)Math.Round(channel * 255, MidpointRounding.AwayFromZero);

    private static Rgba8 Gray(double channel, double alpha) => new(Level(channel), Level(channel), Level(channel), Level(alpha));

    // The file's six decimals can't say on which side of a half a value lies; 0.001 of a level is well beyond them.
    private static bool IsTie(double channel) => Math.Abs((channel * 255) - Math.Floor(channel * 255) - 0.5) < 0.001;

    private static void ShouldBeLevel(byte actual, double channel, Row row) => ((double)actual).ShouldBe(channel * 255, 0.501, row.ToString());
}
