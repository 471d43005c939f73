using Recipes.Imaging;

namespace Recipes.Shipped.Tests;

/// <summary>swap-color against drawings rendered once in the old and once in the new color.</summary>
public class SwapColorTests
{
    // The acceptance of this recipe: mean CIE76 over edge pixels. A plain tolerance fill scores 18 to 31 on these drawings.
    private const double Mean = 1.0, LeastOfFill = 15;

    public static TheoryData<string> Palettes => [.. Palette.All.Select(palette => palette.Name)];

    public static TheoryData<string, int> Jpegs
    {
        get
        {
            var data = new TheoryData<string, int>();
            foreach (var palette in Palette.All)
            {
                data.Add(palette.Name, 75);
                data.Add(palette.Name, 90);
            }

            return data;
        }
    }

    private static Palette Of(string name) => Palette.All.Single(palette => palette.Name == name);

    private static Outcome Swap(Rgba8[] old, Palette palette, GarmentSetup? setup = null, string to = "") => Shelf.Run(
        "swap-color", Plane<Rgba8>.FromContiguous(Drawing.Width, Drawing.Height, old), setup ?? Shelf.Light,
        ("from", $"{palette.Old}"), ("to", to.Length > 0 ? to : $"{palette.New}"));

    // Every pixel within the tolerance gets the new color and no other changes.
    private static Rgba8[] Fill(Rgba8[] old, Palette palette)
    {
        var alike = Find.Like(Plane<Rgba8>.FromContiguous(Drawing.Width, Drawing.Height, old), palette.Old, 3).Coverage.ToContiguous();
        return [.. old.Select((pixel, i) => alike[i] != 0 ? palette.New.WithAlpha(pixel.A) : pixel)];
    }

    private static void ShouldBe(Rgba8[] made, Rgba8[] old, Rgba8[] truth, Palette palette, Func<int, bool> solid)
    {
        var fill = Fill(old, palette);
        double off = 0, offFill = 0;
        int edges = 0, solids = 0;
        for (int i = 0; i < made.Length; i++)
        {
            string at = $"{palette} at {i % Drawing.Width},{i / Drawing.Width}";
            if (solid(i))
            {
                made[i].ShouldBe(palette.New, at);
                solids++;
            }
            else if (old[i] == truth[i])
            {
                made[i].ShouldBe(old[i], at);
            }
            else
            {
                made[i].A.ShouldBe(truth[i].A, at);
                off += Difference.Cie76(made[i], truth[i]);
                offFill += Difference.Cie76(fill[i], truth[i]);
                edges++;
            }
        }

        TestContext.Current.TestOutputHelper!.WriteLine(FormattableString.Invariant($"{palette}: {edges} edge pixels, mean {off / edges:0.000}, a fill {offFill / edges:0.0}"));
        edges.ShouldBeGreaterThan(2000);
        solids.ShouldBeGreaterThan(4000);
        (off / edges).ShouldBeLessThanOrEqualTo(Mean);
        (offFill / edges).ShouldBeGreaterThan(LeastOfFill);
    }

    [Theory]
    [MemberData(nameof(Palettes))]
    public void Edges_become_what_supersampling_would_have_made(string name)
    {
        var palette = Of(name);
        var drawn = Drawing.Render(palette);
        var made = Swap(drawn.Old, palette);
        ShouldBe(made.Pixels, drawn.Old, drawn.New, palette, i => drawn.Share[i] == 1);
        made.ShouldBeClear();
        Swap(drawn.Old, palette, Shelf.Black).ShouldBeClear();
    }

    [Theory]
    [MemberData(nameof(Palettes))]
    public void Edges_become_what_SkiaSharp_would_have_made(string name)
    {
        var palette = Of(name);
        var old = SkiaDrawing.Draw(palette, palette.Old, paper: true);
        var truth = SkiaDrawing.Draw(palette, palette.New, paper: true);
        ShouldBe(Swap(old, palette).Pixels, old, truth, palette, i => old[i] == palette.Old && truth[i] == palette.New);
    }

    [Theory]
    [MemberData(nameof(Palettes))]
    public void Edges_to_transparency_keep_their_alpha_and_take_the_whole_color(string name)
    {
        var palette = Of(name);
        var old = SkiaDrawing.Draw(palette, palette.Old, paper: false);
        var truth = SkiaDrawing.Draw(palette, palette.New, paper: false);
        var made = Swap(old, palette).Pixels;
        int edges = 0;
        for (int i = 0; i < made.Length; i++)
        {
            made[i].A.ShouldBe(old[i].A);
            if (old[i] == truth[i])
            {
                made[i].ShouldBe(old[i]);
            }
            else if (old[i].A is > 0 and < 255)
            {
                // SkiaSharp stores premultiplied bytes, so what it tells is known to a level of those, in the old color and in
                // the truth: two levels of what the pixel lays on the garment, and half a one for rounding here.
                (made[i].LargestDifference(truth[i]) * old[i].A / 255.0).ShouldBeLessThanOrEqualTo(2.5, $"at {i % Drawing.Width},{i / Drawing.Width}: {old[i]}, {truth[i]}");
                edges++;
            }
        }

        edges.ShouldBeGreaterThan(1500);
    }

    [Theory]
    [MemberData(nameof(Jpegs))]
    public void A_JPEG_gets_most_of_it(string name, int quality)
    {
        // Looser, since a JPEG keeps color at half the resolution of lightness: shapes, not thin lines, and a mean of 15.
        var palette = Of(name);
        var drawn = Drawing.Render(palette);
        var old = SkiaDrawing.Jpeg(drawn.Old, Drawing.Width, Drawing.Height, quality);
        var truth = SkiaDrawing.Jpeg(drawn.New, Drawing.Width, Drawing.Height, quality);
        Rgba8[] made = Swap(old, palette).Pixels, fill = Fill(old, palette);
        double off = 0, offFill = 0, offSolid = 0;
        int edges = 0, solids = 0;
        for (int y = 0; y < 104; y++)
        {
            for (int x = 0; x < 104; x++)
            {
                int i = (y * Drawing.Width) + x;
                if (drawn.Share[i] == 1)
                {
                    offSolid += Difference.Cie76(made[i], truth[i]);
                    solids++;
                }
                else if (drawn.Share[i] > 0)
                {
                    off += Difference.Cie76(made[i], truth[i]);
                    offFill += Difference.Cie76(fill[i], truth[i]);
                    edges++;
                }
                else if (Nearest(drawn, x, y) > 12)
                {
                    made[i].ShouldBe(old[i]);
                }
            }
        }

        TestContext.Current.TestOutputHelper!.WriteLine(FormattableString.Invariant($"{palette}, quality {quality}: mean {off / edges:0.0}, solid {offSolid / solids:0.0}, a fill {offFill / edges:0.0}"));
        (off / edges).ShouldBeLessThanOrEqualTo(15);
        (off / edges).ShouldBeLessThan(offFill / edges / 2);
        (offSolid / solids).ShouldBeLessThanOrEqualTo(6);
    }

    private static double Nearest(Renderings drawn, int x, int y)
    {
        double nearest = double.PositiveInfinity;
        for (int v = Math.Max(0, y - 13); v < Math.Min(drawn.Height, y + 14); v++)
        {
            for (int u = Math.Max(0, x - 13); u < Math.Min(drawn.Width, x + 14); u++)
            {
                if (drawn.Share[(v * drawn.Width) + u] > 0)
                {
                    nearest = Math.Min(nearest, Math.Sqrt(((u - x) * (u - x)) + ((v - y) * (v - y))));
                }
            }
        }

        return nearest;
    }

    [Fact]
    public void The_result_does_not_depend_on_where_tiles_are_cut()
    {
        var palette = Palette.All[0];
        var drawn = Drawing.Render(palette);
        var made = Swap(drawn.Old, palette).Pixels;
        const int Left = 37, Top = 91, Width = Drawing.Width + 70, Height = Drawing.Height + 130;
        var wide = new Rgba8[Width * Height];
        Array.Fill(wide, Rgba8.White);
        for (int y = 0; y < Drawing.Height; y++)
        {
            drawn.Old.AsSpan(y * Drawing.Width, Drawing.Width).CopyTo(wide.AsSpan(((y + Top) * Width) + Left));
        }

        var moved = Shelf.Run("swap-color", Plane<Rgba8>.FromContiguous(Width, Height, wide), Shelf.Light, ("from", $"{palette.Old}"), ("to", $"{palette.New}")).Pixels;
        // At the drawing's own border there are neighbors now, so those pixels are left out.
        for (int y = 8; y < Drawing.Height - 8; y++)
        {
            moved.AsSpan(((y + Top) * Width) + Left + 8, Drawing.Width - 16).SequenceEqual(made.AsSpan((y * Drawing.Width) + 8, Drawing.Width - 16)).ShouldBeTrue($"row {y}");
        }
    }

    [Fact]
    public void The_change_lies_in_a_layer_of_its_own_and_an_absent_color_changes_nothing()
    {
        var palette = Palette.All[1];
        var made = Swap(Drawing.Render(palette).Old, palette);
        made.Run.Art.Artwork.Layers.Select(layer => layer.Name).ShouldBe(["original", "swapped color"]);
        made.Run.Art.Artwork.Layers[0].ShouldBeSameAs(made.Before.Layers[0]);
        var none = Shelf.Run("swap-color", made.Before, Shelf.Light, ("from", "#ff00ff"), ("to", "#00ff00"));
        none.Run.Art.Artwork.ShouldBeSameAs(none.Before);
        none.Run.Reporter.Notes.ShouldHaveSingleItem().ShouldContain("nothing to change");
    }

    [Fact]
    public void A_gray_leaves_the_edges_of_black_lettering_alone()
    {
        // Black bars at all angles on white pass through every gray; only the flat gray square is the color.
        var gray = new Rgba8(128, 128, 128);
        var art = new Rgba8[200 * 120];
        for (int i = 0; i < art.Length; i++)
        {
            int x = i % 200, y = i / 200, black = 0;
            for (int s = 0; s < 64; s++)
            {
                double u = x + ((s % 8) + 0.5) / 8, v = y + ((s / 8) + 0.5) / 8;
                black += u < 110 && v is > 10 and < 110 && (u * 0.9) + (v * 0.37) is var across && across % 17 < 6 ? 1 : 0;
            }

            byte level = (byte)Math.Round(255 * (64 - black) / 64.0);
            art[i] = x is >= 140 and < 180 && y is >= 40 and < 80 ? gray : new Rgba8(level, level, level);
        }

        art.Count(pixel => pixel.R is > 120 and < 136).ShouldBeGreaterThan(1600 + 40);
        var made = Shelf.Run("swap-color", Plane<Rgba8>.FromContiguous(200, 120, art), Shelf.Light, ("from", "#808080"), ("to", "#c8102e")).Pixels;
        for (int i = 0; i < art.Length; i++)
        {
            made[i].ShouldBe(art[i] == gray && i % 200 >= 140 ? new Rgba8(200, 16, 46) : art[i], $"at {i % 200},{i / 200}");
        }
    }

    [Fact]
    public void Shading_moves_with_the_color_where_asked_for()
    {
        // A blue ball lit from above: lightness runs by 20 L* around the color, chroma with it.
        var from = LabSpace.D50.Of(new Rgba8(34, 92, 140));
        var to = LabSpace.D50.Of(new Rgba8(200, 60, 50));
        Rgba8 Ball(int x, int y) => x is >= 20 and < 100 && y is >= 20 and < 100
            ? LabSpace.D50.ToSrgb(new Lab(from.L + ((y - 60) * 0.25), from.A * (1 + ((x - 60) * 0.004)), from.B * (1 + ((x - 60) * 0.004)))).Color : Rgba8.White;
        var art = Plane<Rgba8>.FromContiguous(120, 120, Enumerable.Range(0, 120 * 120).Select(i => Ball(i % 120, i / 120)).ToArray());
        (string, string)[] set = [("from", "#225c8c"), ("to", "#c83c32"), ("within", "20")];
        var kept = Shelf.Run("swap-color", art, Shelf.Light, [.. set, ("shade", "keep")]);
        var flat = Shelf.Run("swap-color", art, Shelf.Light, set);
        for (int i = 0; i < 120 * 120; i++)
        {
            int x = i % 120, y = i / 120;
            if (x is < 20 or >= 100 || y is < 20 or >= 100)
            {
                kept.Pixels[i].ShouldBe(Rgba8.White);
                continue;
            }

            flat.Pixels[i].ShouldBe(new Rgba8(200, 60, 50));
            Lab was = LabSpace.D50.Of(art[x, y]), now = LabSpace.D50.Of(kept.Pixels[i]);
            // Rounding to 8 bits twice costs about a unit.
            (now.L - to.L).ShouldBe(was.L - from.L, 1.0);
            (now.Chroma / to.Chroma).ShouldBe(was.Chroma / from.Chroma, 0.04);
        }

        kept.ShouldBeClear();
    }

    [Theory]
    [InlineData("#ffffff", "lost-to-white")]
    [InlineData("#000000", "lost-to-black")]
    public void A_color_that_stays_bare_trips_the_guardrail(string to, string guard)
    {
        var palette = Palette.All[0];
        var made = Swap(Drawing.Render(palette).Old, palette, Shelf.Black, to);
        made.Guarded.Guards.Single(result => result.Name == guard).Outcome.ShouldBe(GuardOutcome.Refused);
        made.Guarded.Guards.Where(result => result.Name != guard).ShouldAllBe(result => result.Outcome == GuardOutcome.Clear);
    }

    [Theory]
    [InlineData("#fffefe", 255)]
    [InlineData("#010100", 0)]
    public void A_mix_that_rounds_to_what_stays_bare_prints_all_the_same(string to, byte ground)
    {
        // A disc of orange on pure white or black: its mixes with the new color round to the ground itself.
        var drawn = new Rgba8[80 * 80];
        int mixes = 0;
        for (int i = 0; i < drawn.Length; i++)
        {
            double share = Math.Clamp(30.5 - Math.Sqrt(((i % 80) - 39.5) * ((i % 80) - 39.5) + ((i / 80) - 39.5) * ((i / 80) - 39.5)), 0, 1);
            byte Channel(int full) => (byte)Math.Round((share * full) + ((1 - share) * ground));
            drawn[i] = new Rgba8(Channel(240), Channel(124), Channel(28));
            mixes += share is > 0 and < 1 ? 1 : 0;
        }

        var made = Shelf.Run("swap-color", Plane<Rgba8>.FromContiguous(80, 80, drawn), Shelf.Black, ("from", "#f07c1c"), ("to", to));
        made.ShouldBeClear();
        int nudged = made.Pixels.Count(pixel => pixel == (ground == 0 ? new Rgba8(1, 1, 1) : new Rgba8(254, 254, 254)));
        nudged.ShouldBeInRange(mixes / 8, mixes);
    }
}
