using CsCheck;

namespace Recipes.Imaging.Tests;

public class GuardrailsTests
{
    // 100 x 100 px: 0.1% is 10 px, the border 396 px. Garment, sail and wings: a frame of nothing, art inside it.
    private const int Side = 100;
    private static readonly InkRules Rules = new() { BlackBare = true };
    private static readonly Rgba8 Ink = new(240, 120, 20);

    private static readonly Gen<Guardrails> Policies = Gen.Enum<GuardPolicy>().Array[Guardrails.Names.Count].Select(policies =>
        Guardrails.Names.Zip(policies).Aggregate(Guardrails.Default, (rails, pair) =>
            Guardrails.Knows(pair.First, pair.Second) ? rails.With(pair.First, pair.Second) : rails));

    /// <summary>For each pixel guardrail a pixel before and after that trips it; the last four by a single level.</summary>
    public static TheoryData<string, Rgba8, Rgba8> Trips => new()
    {
        { Guardrails.LostToWhite, Ink, Rgba8.White },
        { Guardrails.LostToBlack, Ink, Rgba8.Black },
        { Guardrails.LostToTransparent, Ink, Ink.WithAlpha(0) },
        { Guardrails.AddedInk, Rgba8.White, Ink },
        { Guardrails.AddedInk, Rgba8.Black, Ink },
        { Guardrails.AddedInk, Rgba8.ClearWhite, Ink },
        { Guardrails.LostToWhite, new(255, 254, 255), new(255, 255, 255) },
        { Guardrails.LostToBlack, new(0, 0, 1), new(0, 0, 0) },
        { Guardrails.LostToTransparent, Ink.WithAlpha(1), Ink.WithAlpha(0) },
        { Guardrails.AddedInk, new(255, 255, 255), new(255, 255, 254) },
    };

    [Fact]
    public void The_eight_names_and_defaults_are_the_contracts()
    {
        Guardrails.Names.ShouldBe(
            ["lost-to-white", "lost-to-black", "lost-to-transparent", "added-ink", "printed-box", "size-change", "nothing-prints", "ink-mostly-lost"]);
        Guardrails.Names.Select(name => Guardrails.Default[name]).ShouldBe(
            [GuardPolicy.Protect, GuardPolicy.Protect, GuardPolicy.Protect, GuardPolicy.Protect, GuardPolicy.Refuse, GuardPolicy.Refuse, GuardPolicy.Refuse,
                GuardPolicy.Refuse]);
    }

    [Fact]
    public void A_box_a_size_or_most_of_the_ink_cannot_be_put_back_and_other_names_are_unknown()
    {
        Should.Throw<ArgumentException>(() => Guardrails.Default.With(Guardrails.PrintedBox, GuardPolicy.Protect));
        Should.Throw<ArgumentException>(() => Guardrails.Default.With(Guardrails.SizeChange, GuardPolicy.Protect));
        Should.Throw<ArgumentException>(() => Guardrails.Default.With(Guardrails.NothingPrints, GuardPolicy.Protect));
        Should.Throw<ArgumentException>(() => Guardrails.Default.With(Guardrails.InkMostlyLost, GuardPolicy.Protect));
        Should.Throw<ArgumentException>(() => Guardrails.Default.With("lost-to-gray", GuardPolicy.Allow));
    }

    [Theory]
    [MemberData(nameof(Trips))]
    public void Protect_puts_the_old_pixels_back_in_one_layer_and_keeps_the_rest(string name, Rgba8 was, Rgba8 now)
    {
        // Three pixels trip; the fourth changes from ink to other ink, which nobody guards.
        var before = Framed((x, y) => y == 50 && x is >= 50 and < 53 ? was : Ink);
        var after = Edited(before, (x, y, old) => y == 50 && x is >= 50 and < 53 ? now : (x, y) == (20, 20) ? new Rgba8(40, 60, 90) : old);
        var judged = Guardrails.Default.Judge(before, after, Declaration.Nothing, Rules);

        var guard = judged.Guards.Single(guard => guard.Outcome != GuardOutcome.Clear);
        (guard.Name, guard.Pixels, guard.Outcome, guard.Box).ShouldBe((name, 3, GuardOutcome.Protected, new Box(50, 50, 3, 1)));
        guard.Why.ShouldNotBeEmpty();
        judged.Guards.Select(result => result.Name).ShouldBe(Guardrails.Names);
        judged.Refused.ShouldBeFalse();
        judged.Art.Layers[..^1].ShouldBe(after.Layers);
        var layer = judged.Art.Layers[^1];
        (layer.Name, layer.Mode, layer.Intent).ShouldBe(("protected", LayerMode.Replace, LayerIntent.Protected));
        judged.Art.Flat.ToContiguous().ShouldHold(Edited(before, (x, y, old) => (x, y) == (20, 20) ? new Rgba8(40, 60, 90) : old).Flat.ToContiguous());
    }

    [Theory]
    [MemberData(nameof(Trips))]
    public void Allow_lets_it_pass_and_refuse_keeps_nothing(string name, Rgba8 was, Rgba8 now)
    {
        var before = Framed((x, y) => (x, y) == (50, 50) ? was : Ink);
        var after = Edited(before, (x, y, old) => (x, y) == (50, 50) ? now : old);
        foreach (var (policy, outcome) in new[] { (GuardPolicy.Allow, GuardOutcome.Allowed), (GuardPolicy.Refuse, GuardOutcome.Refused) })
        {
            var judged = Guardrails.Default.With(name, policy).Judge(before, after, Declaration.Nothing, Rules);
            var guard = judged.Guards.Single(guard => guard.Outcome != GuardOutcome.Clear);
            (guard.Name, guard.Policy, guard.Pixels, guard.Outcome).ShouldBe((name, policy, 1, outcome));
            judged.Refused.ShouldBe(policy == GuardPolicy.Refuse);
            judged.Art.ShouldBeSameAs(after);
        }
    }

    [Theory]
    [MemberData(nameof(Trips))]
    public void Protect_refuses_above_a_thousandth_of_the_art_and_not_at_it(string name, Rgba8 was, Rgba8 now)
    {
        foreach (var (pixels, outcome) in new[] { (10, GuardOutcome.Protected), (11, GuardOutcome.Refused) })
        {
            var before = Framed((x, y) => y == 50 && x >= 50 && x < 50 + pixels ? was : Ink);
            var after = Edited(before, (x, y, old) => y == 50 && x >= 50 && x < 50 + pixels ? now : old);
            var judged = Guardrails.Default.Judge(before, after, Declaration.Nothing, Rules);
            var guard = judged.Guards.Single(guard => guard.Outcome != GuardOutcome.Clear);
            (guard.Name, guard.Pixels, guard.Outcome).ShouldBe((name, pixels, outcome));
            judged.Refused.ShouldBe(outcome == GuardOutcome.Refused);
            if (judged.Refused)
            {
                judged.Art.ShouldBeSameAs(after);
            }
        }
    }

    [Theory]
    [MemberData(nameof(Trips))]
    public void Protect_refuses_where_one_pixel_lies_on_the_border(string name, Rgba8 was, Rgba8 now)
    {
        foreach (var (left, top) in new[] { (0, 40), (Side - 1, 40), (40, 0), (40, Side - 1) })
        {
            var before = Artwork.FromPixels(Pictures.Art(Side, Side, (x, y) => (x, y) == (left, top) ? was : Ink));
            var after = Edited(before, (x, y, old) => (x, y) == (left, top) ? now : old);
            var guards = Guardrails.Default.Judge(before, after, Declaration.Nothing, Rules).Guards;
            guards.Single(guard => guard.Name == name).Outcome.ShouldBe(GuardOutcome.Refused);
        }
    }

    [Theory]
    [MemberData(nameof(Trips))]
    public void What_the_recipe_declared_for_those_pixels_passes(string name, Rgba8 was, Rgba8 now)
    {
        var before = Framed((x, y) => (x, y) == (50, 50) ? was : Ink);
        var after = Edited(before, (x, y, old) => (x, y) == (50, 50) ? now : old);
        Plane<byte> here = Dot(50, 50), elsewhere = Dot(51, 50);
        Passes(new Declaration(Printable: here)).ShouldBe(name == Guardrails.AddedInk);
        Passes(new Declaration(Printable: elsewhere)).ShouldBeFalse();
        Passes(new Declaration(PrintedBlack: here)).ShouldBe(name == Guardrails.AddedInk && was == Rgba8.Black);
        Passes(new Declaration(PrintedBlack: elsewhere)).ShouldBeFalse();
        Passes(new Declaration(Bare: here)).ShouldBe(name != Guardrails.AddedInk);
        Passes(new Declaration(Bare: elsewhere)).ShouldBeFalse();
        Passes(new Declaration(DroppedBlack: here)).ShouldBe(name == Guardrails.LostToBlack);
        Passes(new Declaration(DroppedBlack: elsewhere)).ShouldBeFalse();
        Passes(new Declaration(SizeChange: true)).ShouldBeFalse();

        bool Passes(Declaration declared)
        {
            var judged = Guardrails.Default.Judge(before, after, declared, Rules);
            bool clear = judged.Guards.All(guard => guard.Outcome == GuardOutcome.Clear);
            ReferenceEquals(judged.Art, after).ShouldBe(clear);
            return clear;
        }
    }

    [Fact]
    public void Art_that_did_not_change_trips_nothing()
    {
        var before = Framed((_, _) => Ink);
        var judged = Guardrails.Default.Judge(before, before, Declaration.Nothing, Rules);
        judged.Art.ShouldBeSameAs(before);
        judged.Guards.ShouldAllBe(guard => guard.Outcome == GuardOutcome.Clear && guard.Pixels == 0 && guard.Box == null && guard.Why == "");
    }

    // 396 border pixels: 198 are half, 199 over half.
    [Theory]
    [InlineData(0, 198, false)]
    [InlineData(0, 199, true)]
    [InlineData(0, 396, true)]
    [InlineData(198, 199, true)]
    [InlineData(199, 199, false)]
    [InlineData(300, 250, false)]
    public void A_printed_box_is_over_half_of_the_border_where_fewer_printed_before_declared_or_not(int was, int now, bool trips)
    {
        Artwork before = Bordered(was), after = Laid(before, Bordered(now).Flat);
        var everything = Plane<byte>.OneValue(Side, Side, 255);
        var declared = new Declaration(Printable: everything, Bare: everything);
        var refused = Guardrails.Default.Judge(before, after, declared, Rules);
        var guard = refused.Guards.Single(guard => guard.Name == "printed-box");
        guard.Outcome.ShouldBe(trips ? GuardOutcome.Refused : GuardOutcome.Clear);
        guard.Pixels.ShouldBe(trips ? now : 0);
        refused.Refused.ShouldBe(trips);
        var allowed = Guardrails.Default.With("printed-box", GuardPolicy.Allow).Judge(before, after, declared, Rules);
        allowed.Guards.Single(guard => guard.Name == "printed-box").Outcome.ShouldBe(trips ? GuardOutcome.Allowed : GuardOutcome.Clear);
        allowed.Refused.ShouldBeFalse();
        allowed.Art.ShouldBeSameAs(after);
    }

    [Theory]
    [InlineData(1, 1, 1)]
    [InlineData(1, 7, 7)]
    [InlineData(7, 1, 7)]
    [InlineData(2, 2, 4)]
    [InlineData(3, 3, 8)]
    [InlineData(100, 100, 396)]
    public void Every_border_pixel_counts_once(int width, int height, int border) => Guardrails.BorderLength(new TileGrid(width, height)).ShouldBe(border);

    [Theory]
    [InlineData(40, 20, 300)]
    [InlineData(20, 21, 300)]
    [InlineData(20, 20, 150)]
    [InlineData(20, 20, null)]
    public void A_size_or_resolution_that_changes_is_refused_unless_declared_or_allowed(int width, int height, int? ppi)
    {
        var before = Artwork.FromPixels(Plane<Rgba8>.OneValue(20, 20, Rgba8.ClearWhite), 300);
        var after = Artwork.FromPixels(Plane<Rgba8>.OneValue(width, height, Rgba8.ClearWhite), ppi);
        Outcome(Guardrails.Default, Declaration.Nothing).ShouldBe(GuardOutcome.Refused);
        Outcome(Guardrails.Default.With("size-change", GuardPolicy.Allow), Declaration.Nothing).ShouldBe(GuardOutcome.Allowed);
        Outcome(Guardrails.Default, new Declaration(SizeChange: true)).ShouldBe(GuardOutcome.Clear);

        GuardOutcome Outcome(Guardrails rails, Declaration declared)
        {
            var judged = rails.Judge(before, after, declared, Rules);
            judged.Art.ShouldBeSameAs(after);
            judged.Guards.Select(guard => guard.Name).ShouldBe(Guardrails.Names);
            judged.Guards.Where(guard => guard.Name != "size-change").ShouldAllBe(guard => guard.Outcome == GuardOutcome.Clear);
            var outcome = judged.Guards.Single(guard => guard.Name == "size-change").Outcome;
            judged.Refused.ShouldBe(outcome == GuardOutcome.Refused);
            return outcome;
        }
    }

    // Art of the platen's size that is placed on it once more: as many pixels, each of them somewhere else. Whoever can declare a
    // size change could rewrite any pixel if that switched the guardrails off.
    [Fact]
    public void A_declared_size_change_is_judged_pixel_by_pixel_where_the_size_stays()
    {
        var before = Framed((_, _) => Ink);
        var after = Edited(before, (x, y, _) => x is >= 40 and < 60 && y is >= 40 and < 60 ? Ink : Rgba8.ClearWhite);
        var judged = Guardrails.Default.Judge(before, after, new Declaration(SizeChange: true), Rules);
        judged.Guards.ShouldBe(Guardrails.Default.Judge(before, after, Declaration.Nothing, Rules).Guards);
        judged.Guards.Where(guard => guard.Outcome != GuardOutcome.Clear).Select(guard => (guard.Name, guard.Outcome)).ShouldBe(
            [(Guardrails.LostToTransparent, GuardOutcome.Refused), (Guardrails.InkMostlyLost, GuardOutcome.Refused)]);
        Guardrails.Default.With(Guardrails.LostToTransparent, GuardPolicy.Allow).With(Guardrails.InkMostlyLost, GuardPolicy.Allow)
            .Judge(before, after, new Declaration(SizeChange: true), Rules).Refused.ShouldBeFalse();
    }

    // 20 of 36 border pixels print before. Of 76 after: 42 are a smaller share (55.3% to 55.6%), 43 a larger one (56.6%).
    [Theory]
    [InlineData(42, false)]
    [InlineData(43, true)]
    public void A_printed_box_after_a_declared_size_change_is_judged_by_share(int now, bool trips)
    {
        Artwork before = Bordered(20, 10), after = Bordered(now, 20);
        Guardrails.Default.Judge(before, after, new Declaration(SizeChange: true), Rules).Refused.ShouldBe(trips);
    }

    // An oracle of its own: the words of the guardrails over contiguous pixels, one pixel at a time.
    [Fact]
    public void Generated_results_are_judged_as_a_loop_over_all_pixels_judges_them() => Cases.Sizes.SelectMany(size => Gen.Select(
        Cases.Rasters(size.Width, size.Height, Cases.Colors), Cases.Rasters(size.Width, size.Height, Cases.Colors), Gen.Bool,
        Cases.Rasters(size.Width, size.Height, Cases.Coverage).Array[4], Gen.Int[0, 15], Cases.Rules, Policies))
        .Holds((raster, paint, few, coverage, which, rules, rails) =>
    {
        var before = Artwork.FromPixels(raster.ToPlane());
        // Many results differ in few pixels only, so that something can be put back.
        if (few)
        {
            paint = paint with { Spots = [.. paint.Spots.Select(spot => spot with { Box = spot.Box with { Width = Math.Min(2, spot.Box.Width), Height = 1 } })] };
        }

        var after = Edited(before, paint);
        var declared = new Declaration(Said(0), Said(1), Said(2), Said(3));
        var judged = rails.Judge(before, after, declared, rules);

        Rgba8[] was = before.Flat.ToContiguous(), now = after.Flat.ToContiguous();
        var said = coverage.Select(part => part.Samples()).ToArray();
        var tripped = new string?[was.Length];
        for (int i = 0; i < was.Length; i++)
        {
            tripped[i] = Tripped(was[i], now[i], rules, Says(0, i), Says(1, i), Says(2, i), Says(3, i));
        }

        foreach (var name in Guardrails.Names.Take(4))
        {
            var places = Enumerable.Range(0, was.Length).Where(i => tripped[i] == name).Select(i => (X: i % raster.Width, Y: i / raster.Width)).ToList();
            bool border = places.Any(p => p.X == 0 || p.Y == 0 || p.X == raster.Width - 1 || p.Y == raster.Height - 1);
            bool large = places.Count / (double)was.Length > 0.001 + 1e-12;
            var guard = judged.Guards.Single(guard => guard.Name == name);
            guard.Pixels.ShouldBe(places.Count);
            guard.Outcome.ShouldBe(places.Count == 0 ? GuardOutcome.Clear
                : rails[name] == GuardPolicy.Allow ? GuardOutcome.Allowed
                : rails[name] == GuardPolicy.Refuse || border || large ? GuardOutcome.Refused
                : GuardOutcome.Protected);
            Box? box = places.Count == 0 ? null : new Box(places.Min(p => p.X), places.Min(p => p.Y),
                places.Max(p => p.X) - places.Min(p => p.X) + 1, places.Max(p => p.Y) - places.Min(p => p.Y) + 1);
            guard.Box.ShouldBe(box);
        }

        bool putsBack = judged.Guards.Take(4).All(guard => guard.Outcome != GuardOutcome.Refused);
        var protect = judged.Guards.Where(guard => guard.Outcome == GuardOutcome.Protected).Select(guard => guard.Name).ToHashSet();
        var kept = Enumerable.Range(0, was.Length).Select(i => putsBack && tripped[i] is { } name && protect.Contains(name) ? was[i] : now[i]).ToArray();
        judged.Art.Flat.ToContiguous().ShouldHold(kept);
        ReferenceEquals(judged.Art, after).ShouldBe(!putsBack || protect.Count == 0);

        var edge = Enumerable.Range(0, was.Length).Where(i => i % raster.Width is var x && i / raster.Width is var y
            && (x == 0 || y == 0 || x == raster.Width - 1 || y == raster.Height - 1)).ToList();
        int printedBefore = edge.Count(i => rules.StateOf(was[i]) == InkState.Prints), printed = edge.Count(i => rules.StateOf(kept[i]) == InkState.Prints);
        judged.Guards[4].Outcome.ShouldBe(!(printed > edge.Count / 2.0 && printedBefore < printed) ? GuardOutcome.Clear
            : rails["printed-box"] == GuardPolicy.Allow ? GuardOutcome.Allowed : GuardOutcome.Refused);
        judged.Guards[5].Outcome.ShouldBe(GuardOutcome.Clear);

        Plane<byte>? Said(int n) => (which & (1 << n)) != 0 ? coverage[n].ToPlane() : null;
        bool Says(int n, int i) => (which & (1 << n)) != 0 && said[n][i] > 0;
    }, iter: 40);

    private static string? Tripped(Rgba8 was, Rgba8 now, InkRules rules, bool printable, bool bare, bool dropped, bool printedBlack)
    {
        InkState from = rules.StateOf(was), to = rules.StateOf(now);
        return (from, to) switch
        {
            (InkState.Prints, InkState.BareWhite) => bare ? null : "lost-to-white",
            (InkState.Prints, InkState.BareBlack) => bare || dropped ? null : "lost-to-black",
            (InkState.Prints, InkState.Transparent) => bare ? null : "lost-to-transparent",
            (InkState.BareBlack, InkState.Prints) => printable || printedBlack ? null : "added-ink",
            (InkState.BareWhite or InkState.Transparent, InkState.Prints) => printable ? null : "added-ink",
            _ => null,
        };
    }

    // Ten px of nothing around the art, so that its border is bare.
    private static Artwork Framed(Func<int, int, Rgba8> inside) => Artwork.FromPixels(Pictures.Art(Side, Side, (x, y) =>
        new Box(10, 10, Side - 20, Side - 20).Contains(x, y) ? inside(x, y) : Rgba8.ClearWhite));

    // The first so many border pixels, in reading order, print; all others are white.
    private static Artwork Bordered(int printing, int side = Side)
    {
        int left = printing;
        return Artwork.FromPixels(Pictures.Art(side, side, (x, y) =>
            (x == 0 || y == 0 || x == side - 1 || y == side - 1) && left-- > 0 ? Ink : Rgba8.White));
    }

    private static Plane<byte> Dot(int left, int top) =>
        Plane<byte>.FromContiguous(Side, Side, Enumerable.Range(0, Side * Side).Select(i => i == (top * Side) + left ? (byte)1 : (byte)0).ToArray());

    private static Artwork Edited(Artwork art, Func<int, int, Rgba8, Rgba8> change)
    {
        var flat = art.Flat;
        return Laid(art, Pictures.Art(art.Width, art.Height, (x, y) => change(x, y, flat[x, y])));
    }

    private static Artwork Edited(Artwork art, Raster<Rgba8> paint)
    {
        var samples = art.Flat.ToContiguous();
        paint.Paint(samples);
        return Laid(art, Plane<Rgba8>.FromContiguous(art.Width, art.Height, samples));
    }

    // As recipes write: a replace layer that covers what changes.
    private static Artwork Laid(Artwork art, Plane<Rgba8> pixels)
    {
        var flat = art.Flat;
        return art.WithLayer(Layer.Replace("edit", LayerIntent.Fill, pixels, Plane<byte>.FromContiguous(art.Width, art.Height,
            Enumerable.Range(0, art.Width * art.Height).Select(i => flat[i % art.Width, i / art.Width] == pixels[i % art.Width, i / art.Width] ? (byte)0 : (byte)255).ToArray())));
    }
}
