using CsCheck;

namespace Recipes.Imaging.Tests;

/// <summary><c>nothing-prints</c> and <c>ink-mostly-lost</c>, held to a count of their own: one pixel at a time, and floods by hand.</summary>
public class InkLossTests
{
    private static readonly InkRules Light = new(), Dark = new() { BlackBare = true };
    private static readonly Rgba8 Ink = new(240, 120, 20), Cream = new(247, 240, 225), Night = new(20, 20, 20);

    // At 127 px per inch, 50 px per cm, 1 cm2 is 2,500 px.
    private const double Ppi = 127;
    private const int SquareCentimeter = 2500;

    // CIE L* of gray 20 is 6, of gray 60 is 25 (IEC 61966-2-1, CIE 15): black that drops up to 13, and gray that doesn't. The paper's own
    // levels, the last that is near it and the first that isn't; a gap of a pixel parts or joins what is drawn with them.
    private static readonly Rgba8[] Palette =
    [
        Rgba8.White, Rgba8.ClearWhite, new(232, 240, 255), new(231, 240, 255), new(254, 254, 254), Cream, new(224, 240, 225), new(223, 240, 225),
        Ink, Ink.WithAlpha(90), Ink.WithAlpha(180), Night, new(60, 60, 60), new(10, 10, 90), Rgba8.Black, new(240, 120, 20, 0),
    ];

    private static readonly Gen<Rgba8> Colors = Pictures.OneOf(Palette);

    [Fact]
    public void Generated_losses_are_counted_as_a_flood_by_hand_counts_them() => Cases.Sizes.SelectMany(size => Gen.Select(
        Cases.Rasters(size.Width, size.Height, Colors), Cases.Rasters(size.Width, size.Height, Colors), Gen.Bool, Cases.Rules,
        Pictures.OneOf<Rgba8?>(null, Rgba8.White, Cream), Gen.Int[0, 900])).Holds((raster, paint, whole, rules, paper, large) =>
    {
        var before = Artwork.FromPixels(raster.ToPlane());
        var samples = raster.Samples();
        (whole ? paint : paint with { Spots = [.. paint.Spots.Take(1)] }).Paint(samples);
        var after = Plane<Rgba8>.FromContiguous(raster.Width, raster.Height, whole ? paint.Samples() : samples, before.Flat);

        var counted = ByHand(before.Flat, after, rules, paper);
        var parts = Parts(counted.Lost, raster.Width).Where(part => part.Length > large).ToList();
        long lost = Weighed(before.Flat, after, counted.Lost, rules);
        bool most = lost * 4 > counted.Printed;
        var loss = InkLoss.Between(before, after, rules, new(paper), large);
        (loss is not null).ShouldBe(most || parts.Count > 0);
        if (loss is null)
        {
            return;
        }

        loss.IsMost.ShouldBe(most);
        loss.Lost.ShouldBe(lost);
        loss.Box.ShouldBe(BoxOf(Enumerable.Range(0, counted.Lost.Length).Where(i => counted.Lost[i]), raster.Width));
        loss.Large.Select(part => (part.Count, part.Bounds))
            .ShouldBe(parts.Select(part => ((long)part.Length, BoxOf(part, raster.Width)!.Value)), ignoreOrder: true);
        loss.Large.Select(part => part.Count).ShouldBeInOrder(SortDirection.Descending);
        if (most)
        {
            loss.Printed.ShouldBe(counted.Printed);
        }
    }, iter: 300);

    [Fact]
    public void A_glow_hides_no_loss_of_what_is_solid()
    {
        // 80 rows of a glow at alpha 100, which a pattern of dots may thin out, and 20 rows of solid color, of which half go: half of what counts.
        Rgba8 sea = new(34, 92, 140);
        Artwork Of(int solid) => Artwork.FromPixels(Plane<Rgba8>.FromContiguous(100, 100,
            Enumerable.Range(0, 10_000).Select(i => i < 8000 ? sea.WithAlpha(100) : i < 8000 + (solid * 100) ? sea : default).ToArray()), 300);
        var loss = InkLoss.Between(Of(20), Of(10).Flat, new InkRules(), null, 1e6).ShouldNotBeNull();
        (loss.IsMost, loss.Lost, loss.Printed).ShouldBe((true, 1000, 2000));
    }

    /// <summary>Dots of a soft zone keep its tone: of alpha 153 three pixels of five stay, as opaque ones. Cut away as a whole it is lost.</summary>
    [Fact]
    public void A_soft_zone_that_becomes_dots_loses_nothing_and_one_that_goes_does()
    {
        Rgba8 sea = new(34, 92, 140);
        Artwork Of(Func<int, Rgba8> pixel) =>
            Artwork.FromPixels(Plane<Rgba8>.FromContiguous(100, 100, Enumerable.Range(0, 10_000).Select(pixel).ToArray()), 300);
        var soft = Of(_ => sea.WithAlpha(153));
        InkLoss.Between(soft, Of(i => i % 5 < 3 ? sea : default).Flat, new InkRules(), null, 1e6).ShouldBeNull();
        InkLoss.Between(soft, Of(i => i < 5000 ? sea.WithAlpha(153) : default).Flat, new InkRules(), null, 1e6).ShouldNotBeNull().Lost.ShouldBe(3000);
    }

    /// <summary>All of it at alpha 128: a quarter of the rows may go and no more; and nothing pays for what goes in another place.</summary>
    [Fact]
    public void Soft_art_is_weighed_as_it_is_and_where_it_is()
    {
        Rgba8 sea = new(34, 92, 140, 128), sand = new(220, 190, 120, 130);
        Artwork Of(int side, Func<int, int, Rgba8> pixel) => Artwork.FromPixels(Pictures.Art(side, side, pixel), 300);
        var rows = Of(100, (_, _) => sea);
        InkLoss.Between(rows, Of(100, (_, y) => y < 25 ? default : sea).Flat, new InkRules(), null, 1e6).ShouldBeNull();
        InkLoss.Between(rows, Of(100, (_, y) => y < 26 ? default : sea).Flat, new InkRules(), null, 1e6).ShouldNotBeNull();
        var halves = Of(512, (x, _) => x < 256 ? sea : sand);
        var hardened = Of(512, (x, _) => x < 256 ? default : sand.WithAlpha(255));
        InkLoss.Between(halves, hardened.Flat, new InkRules(), null, 1e6).ShouldNotBeNull().IsMost.ShouldBeTrue();
    }

    /// <summary>
    /// What may be ground and may be art is said: a flag behind a disc, a card with round corners, what is pale in a frame; a sail beside a sheet is art.
    /// </summary>
    [Fact]
    public void Ground_that_may_be_art_is_named_and_what_is_art_is_refused()
    {
        var printsWhite = new InkRules { WhiteBare = false };
        Rgba8 red = new(200, 30, 40);
        bool Disc(int x, int y) => ((x - 240) * (x - 240)) + ((y - 180) * (y - 180)) < 80 * 80;
        var flag = Pictures.Art(560, 440, (x, y) => x is < 40 or >= 520 || y is < 40 or >= 400 ? default : Disc(x - 40, y - 40) ? red : Rgba8.White);
        Judged(flag, pixel => pixel == Rgba8.White).ShouldBe(GuardOutcome.Noted);
        var card = Pictures.Art(480, 360, (x, y) => IsOff(x, y) ? default : Disc(x, y) ? red : Rgba8.White);
        Judged(card, pixel => pixel == Rgba8.White).ShouldBe(GuardOutcome.Noted);
        var sail = Pictures.Art(900, 440, (x, y) => x is >= 700 and < 860 && y is >= 40 and < 400 ? Rgba8.White : x < 560 ? flag[x, y] : default);
        // Of the sheet alone that it goes is said; of the sail beside it, which is half as large, it is refused.
        Judged(sail, pixel => pixel == Rgba8.White).ShouldBe(GuardOutcome.Refused);
        var frame = Pictures.Art(110, 110, (x, y) => x is >= 30 and < 80 && y < 100 ? new Rgba8(250, 250, 250) : new Rgba8((byte)x, 60, 90));
        Judged(frame, pixel => pixel.R == 250).ShouldBe(GuardOutcome.Noted);

        // Round corners of 40 px.
        static bool IsOff(int x, int y)
        {
            int across = Math.Max(0, Math.Max(40 - x, x - 439)), down = Math.Max(0, Math.Max(40 - y, y - 319));
            return (across * across) + (down * down) > 40 * 40;
        }

        GuardOutcome Judged(Plane<Rgba8> flat, Func<Rgba8, bool> goes)
        {
            var before = Artwork.FromPixels(flat, 300);
            return Guardrails.Default.JudgeLoss(before, Edited(before, (_, _, old) => goes(old) ? Rgba8.ClearWhite : old), "", printsWhite).Outcome;
        }
    }

    // 100 x 100 px of one color; so many of its rows go.
    [Theory]
    [InlineData(25, false)]
    [InlineData(26, true)]
    public void A_photo_loses_a_quarter_and_no_more(int rows, bool trips)
    {
        var photo = Artwork.FromPixels(Pictures.Art(100, 100, (x, y) => new Rgba8((byte)(60 + x), (byte)(150 - y), 90)));
        var after = Edited(photo, (_, y, old) => y < rows ? Rgba8.ClearWhite : old);
        var declared = new Declaration(Bare: Plane<byte>.OneValue(100, 100, 255));
        foreach (var (rails, outcome) in new[
            ] { (Guardrails.Default, GuardOutcome.Refused), (Guardrails.Default.With("ink-mostly-lost", GuardPolicy.Allow), GuardOutcome.Allowed) })
        {
            var judged = rails.Judge(photo, after, declared, Light);
            var guard = Guard(judged, "ink-mostly-lost");
            (guard.Outcome, guard.Pixels, guard.Box).ShouldBe(trips ? (outcome, rows * 100L, new Box(0, 0, 100, rows)) : (GuardOutcome.Clear, 0L, null));
            judged.Refused.ShouldBe(trips && outcome == GuardOutcome.Refused);
            judged.Guards.Where(other => other.Name != "ink-mostly-lost").ShouldAllBe(other => other.Outcome == GuardOutcome.Clear);
        }

        // A recipe that says so of itself passes, and the sentence says who says it.
        var said = Guard(Guardrails.Default.Judge(photo, after, declared with { LeavesBare = "All but the sail." }, Light), "ink-mostly-lost");
        (said.Outcome, said.Policy).ShouldBe(trips ? (GuardOutcome.Allowed, GuardPolicy.Refuse) : (GuardOutcome.Clear, GuardPolicy.Refuse));
        said.Why.Contains("All but the sail.", StringComparison.Ordinal).ShouldBe(trips);
    }

    [Fact]
    public void Nothing_prints_is_refused_declared_and_said_or_not_and_one_pixel_is_something()
    {
        var art = Artwork.FromPixels(Pictures.Art(40, 40, (x, y) => x is > 9 and < 30 && y is > 9 and < 20 ? Ink : Rgba8.White));
        var everything = new Declaration(Bare: Plane<byte>.OneValue(40, 40, 255)) { LeavesBare = "Everything." };
        var none = Edited(art, (_, _, _) => Rgba8.White);
        var guard = Guard(Guardrails.Default.Judge(art, none, everything, Light), "nothing-prints");
        (guard.Outcome, guard.Pixels, guard.Box).ShouldBe((GuardOutcome.Refused, 200L, new Box(10, 10, 20, 10)));
        var allowed = Guardrails.Default.With("nothing-prints", GuardPolicy.Allow).Judge(art, none, everything, Light);
        Guard(allowed, "nothing-prints").Outcome.ShouldBe(GuardOutcome.Allowed);
        allowed.Refused.ShouldBeFalse();

        var one = Edited(art, (x, y, _) => (x, y) == (12, 12) ? Ink : Rgba8.White);
        Guard(Guardrails.Default.Judge(art, one, everything, Light), "nothing-prints").Outcome.ShouldBe(GuardOutcome.Clear);
        var blank = Artwork.FromPixels(Plane<Rgba8>.OneValue(40, 40, Rgba8.White));
        Guard(Guardrails.Default.Judge(blank, Edited(blank, (_, _, _) => Rgba8.ClearWhite), everything, Light), "nothing-prints")
            .Outcome.ShouldBe(GuardOutcome.Clear);
    }

    [Fact]
    public void Of_another_size_only_whether_anything_prints_is_judged()
    {
        var art = Artwork.FromPixels(Plane<Rgba8>.OneValue(40, 40, Ink));
        var declared = new Declaration(SizeChange: true);
        var speck = Guardrails.Default.Judge(art, Artwork.FromPixels(Pictures.Art(90, 80, (x, y) => (x, y) == (3, 3) ? Ink : Rgba8.White)), declared, Light);
        speck.Guards.ShouldAllBe(guard => guard.Outcome == GuardOutcome.Clear);
        var nothing = Guardrails.Default.Judge(art, Artwork.FromPixels(Plane<Rgba8>.OneValue(90, 80, Rgba8.White)), declared, Light);
        nothing.Guards.Where(guard => guard.Outcome != GuardOutcome.Clear).Select(guard => guard.Name).ShouldBe(["nothing-prints"]);
    }

    // A scan: paper with noise of 20 levels all around and through the hole in the middle of a ring; 60 of 100 px are paper. The ring stays.
    public static TheoryData<int, int, int> Papers => new() { { 255, 255, 255 }, { 247, 240, 225 }, { 210, 210, 208 } };

    [Theory]
    [MemberData(nameof(Papers))]
    public void Paper_of_a_scan_goes_and_what_it_surrounds_does_not(int r, int g, int b)
    {
        var noise = new Random(7);
        Rgba8 Paper() => new((byte)Math.Clamp(r - noise.Next(21), 0, 254), (byte)Math.Clamp(g - noise.Next(21), 0, 254),
            (byte)Math.Clamp(b - noise.Next(21), 0, 254));
        static bool Ring(int x, int y) => Inside(x, y, 60) && !Inside(x, y, 30);
        var scan = Artwork.FromPixels(
            Pictures.Art(200, 200, (x, y) => x == 0 || y == 0 || x == 199 || y == 199 ? new Rgba8((byte)r, (byte)g, (byte)b) : Ring(x, y) ? Ink : Paper()));
        scan.Ground.HasPaper.ShouldBeTrue();
        var everything = new Declaration(Bare: Plane<byte>.OneValue(200, 200, 255));
        var cleaned = Edited(scan, (x, y, old) => Inside(x, y, 60) ? old : Rgba8.ClearWhite);
        Guardrails.Default.Judge(scan, cleaned, everything, Light, 300).Guards.ShouldAllBe(guard => guard.Outcome == GuardOutcome.Clear);

        // The hole is paper too, but the walk doesn't reach it: of 120 x 120 px that print inside, 60 x 60 go, no more than a quarter.
        var holed = Edited(cleaned, (x, y, old) => Inside(x, y, 30) ? Rgba8.ClearWhite : old);
        Guard(Guardrails.Default.Judge(scan, holed, everything, Light, 300), "ink-mostly-lost").Outcome.ShouldBe(GuardOutcome.Clear);
        // At 127 px per inch the hole is 1.44 cm2, so it is named.
        var named = Guard(Guardrails.Default.Judge(scan, holed, everything, Light, Ppi), "ink-mostly-lost");
        (named.Outcome, named.Pixels, named.Box).ShouldBe((GuardOutcome.Noted, 3600L, new Box(70, 70, 60, 60)));
        named.Why.ShouldContain("1.44 cm2 in the box 70,70,60,60 px");

        // With a row of the ring it is more than a quarter. Of all that printed, paper included, it would be a tenth.
        var eaten = Edited(holed, (x, y, old) => y == 40 ? Rgba8.ClearWhite : old);
        var refused = Guard(Guardrails.Default.Judge(scan, eaten, everything, Light, 300), "ink-mostly-lost");
        (refused.Outcome, refused.Pixels).ShouldBe((GuardOutcome.Refused, 3720L));

        static bool Inside(int x, int y, int half) => Math.Max(Math.Abs((2 * x) - 199), Math.Abs((2 * y) - 199)) < 2 * half;
    }

    [Fact]
    public void White_that_a_step_made_printable_is_no_paper()
    {
        // A white flag on white paper, made printable: it touches the border, and the paper around it is reached through it.
        var paper = Artwork.FromPixels(Pictures.Art(100, 100, (x, y) => x >= 80 ? Ink : Rgba8.White));
        var flag = Plane<byte>.FromContiguous(
            100, 100, Enumerable.Range(0, 10_000).Select(i => i % 100 is >= 20 and < 60 && i / 100 < 60 ? (byte)255 : (byte)0).ToArray());
        var flying = paper.WithLayer(Layer.Replace("printable", LayerIntent.MakePrintable, Plane<Rgba8>.OneValue(100, 100, new Rgba8(254, 254, 254)), flag));
        flying.Ground.HasPaper.ShouldBeTrue();
        var struck = Edited(flying, (_, _, old) => old == Ink ? old : Rgba8.ClearWhite);
        var guard = Guard(Guardrails.Default.Judge(flying, struck, new Declaration(Bare: Plane<byte>.OneValue(100, 100, 255)), Light), "ink-mostly-lost");
        (guard.Outcome, guard.Pixels, guard.Box).ShouldBe((GuardOutcome.Refused, 2400L, new Box(20, 0, 40, 60)));
    }

    [Fact]
    public void In_a_cut_out_near_white_at_the_edge_is_art()
    {
        var belly = new Rgba8(250, 250, 250);
        var puffin = Artwork.FromPixels(Pictures.Art(100, 100, (x, y) => x is < 10 or >= 90 ? Rgba8.ClearWhite : y >= 40 ? belly : Ink));
        puffin.Ground.IsCutOut.ShouldBeTrue();
        var erased = Edited(puffin, (_, _, old) => old == belly ? Rgba8.ClearWhite : old);
        var guard = Guard(Guardrails.Default.Judge(puffin, erased, new Declaration(Bare: Plane<byte>.OneValue(100, 100, 255)), Light), "ink-mostly-lost");
        (guard.Outcome, guard.Pixels).ShouldBe((GuardOutcome.Refused, 4800L));
    }

    [Fact]
    public void Black_that_drops_on_black_is_not_lost_and_black_that_becomes_clear_is()
    {
        var wings = Artwork.FromPixels(Pictures.Art(100, 100, (x, y) => y >= 20 ? Night : Ink));
        var declared = new Declaration(Bare: Plane<byte>.OneValue(100, 100, 255));
        Outcome(wings, Rgba8.Black, Dark).ShouldBe(GuardOutcome.Clear);
        Outcome(wings, Rgba8.ClearWhite, Dark).ShouldBe(GuardOutcome.Refused);
        // Pure black prints where black isn't bare, so nothing goes.
        Outcome(wings, Rgba8.Black, Light).ShouldBe(GuardOutcome.Clear);
        // Navy and gray aren't black. L* of both is over 13 or their chroma over 3 (CIE 15), the defaults of pure-black.
        Outcome(Edited(wings, (_, _, old) => old == Night ? new Rgba8(10, 10, 90) : old), Rgba8.Black, Dark).ShouldBe(GuardOutcome.Refused);
        Outcome(Edited(wings, (_, _, old) => old == Night ? new Rgba8(60, 60, 60) : old), Rgba8.Black, Dark).ShouldBe(GuardOutcome.Refused);

        GuardOutcome Outcome(Artwork art, Rgba8 to, InkRules rules) =>
            Guard(Guardrails.Default.Judge(art, Edited(art, (_, y, old) => y >= 20 ? to : old), declared, rules), "ink-mostly-lost").Outcome;
    }

    // 200 x 200 px of ink: one part of 1 cm2 and one px more, and a diagonal neighbor that isn't connected.
    [Theory]
    [InlineData(0, false)]
    [InlineData(1, true)]
    public void A_connected_loss_over_a_square_centimeter_is_named_and_passes(int more, bool named)
    {
        var art = Artwork.FromPixels(Plane<Rgba8>.OneValue(200, 200, Ink), Ppi);
        var after = Edited(art, (x, y, old) =>
            (x is >= 20 and < 70 && y is >= 20 and < 70) || (x == 70 && y >= 30 && y < 30 + more) || (x is >= 71 and < 90 && y is >= 70 and < 90) ? Rgba8.White
            : old);
        var judged = Guardrails.Default.Judge(art, after, new Declaration(Bare: Plane<byte>.OneValue(200, 200, 255)), Light);
        var guard = Guard(judged, "ink-mostly-lost");
        (guard.Outcome, guard.Pixels, guard.Box)
            .ShouldBe(named ? (GuardOutcome.Noted, SquareCentimeter + 1L, new Box(20, 20, 51, 50)) : (GuardOutcome.Clear, 0L, null));
        judged.Refused.ShouldBeFalse();
        judged.Art.ShouldBeSameAs(after);
    }

    [Fact]
    public void Each_of_several_large_losses_is_named_the_largest_first()
    {
        var art = Artwork.FromPixels(Plane<Rgba8>.OneValue(400, 300, Ink), Ppi);
        var after = Edited(art, (x, y, old) =>
            (x is >= 10 and < 70 && y is >= 10 and < 70) || (x is >= 100 and < 180 && y is >= 10 and < 90) ? Rgba8.White : old);
        string why = Guard(Guardrails.Default.Judge(art, after, new Declaration(Bare: Plane<byte>.OneValue(400, 300, 255)), Light), "ink-mostly-lost").Why;
        why.ShouldContain("2 connected areas are over 1 cm2: 2.56 cm2 in the box 100,10,80,80 px; 1.44 cm2 in the box 10,10,60,60 px.");
    }

    [Fact]
    public void Pixels_that_were_put_back_are_not_lost()
    {
        // 9 of 14,400 px went, undeclared: so few are put back, though they are all that printed.
        var spot = Artwork.FromPixels(Pictures.Art(120, 120, (x, y) => x is >= 50 and < 53 && y is >= 50 and < 53 ? Ink : Rgba8.White));
        var judged = Guardrails.Default.Judge(spot, Edited(spot, (_, _, _) => Rgba8.White), Declaration.Nothing, Light);
        judged.Guards.Where(guard => guard.Outcome != GuardOutcome.Clear).Select(guard => (guard.Name, guard.Outcome))
            .ShouldBe([("lost-to-white", GuardOutcome.Protected)]);
    }

    private static (long Printed, bool[] Lost) ByHand(Plane<Rgba8> before, Plane<Rgba8> after, InkRules rules, Rgba8? paper)
    {
        Rgba8[] was = before.ToContiguous(), now = after.ToContiguous();
        var ground = new bool[was.Length];
        if (paper is { } color)
        {
            bool isColored = Math.Min(color.R, Math.Min(color.G, color.B)) < 247;
            bool Passes(int i) => was[i].A == 0
                || (!(isColored && was[i] is { R: 255, G: 255, B: 255 }) && Math.Abs(was[i].R - color.R) <= 23 && Math.Abs(was[i].G - color.G) <= 23
                && Math.Abs(was[i].B - color.B) <= 23);
            int width = before.Width;
            var border = Enumerable.Range(0, was.Length).Where(i => i % width == 0 || i % width == width - 1 || i < width || i >= was.Length - width);
            foreach (int i in Flood(border.Where(Passes), Passes, was.Length, width))
            {
                ground[i] = true;
            }
        }

        bool Prints(Rgba8 pixel) => rules.StateOf(pixel) == InkState.Prints;
        var lost = Enumerable.Range(0, was.Length).Select(i => Prints(was[i]) && was[i].A >= 128 && !Prints(now[i]) && !ground[i]
            && !(rules.StateOf(now[i]) == InkState.BareBlack && was[i] is { R: <= 30, A: > 0 } black && black.R == black.G && black.G == black.B)).ToArray();
        // What is partly transparent is ink to the share of its alpha; all of the art is rounded together, and so is the ground.
        long Levels(bool onGround) => Enumerable.Range(0, was.Length)
            .Where(i => Prints(was[i]) && was[i].A >= 128 && (!onGround || ground[i])).Sum(i => (long)was[i].A);
        return ((Levels(false) / 255) - (Levels(true) / 255), lost);
    }

    // Of tiles of 128 px, what was lost less what other soft pixels there gained; of those the art may have several.
    private static long Weighed(Plane<Rgba8> before, Plane<Rgba8> after, bool[] lost, InkRules rules)
    {
        Rgba8[] was = before.ToContiguous(), now = after.ToContiguous();
        bool Prints(Rgba8 pixel) => rules.StateOf(pixel) == InkState.Prints;
        int width = before.Width;
        long spared = Enumerable.Range(0, was.Length).Where(i => was[i].A is >= 128 and < 255 && Prints(was[i]))
            .GroupBy(i => (i % width / 128, i / width / 128)).Sum(tile =>
            {
                long ink = tile.Where(i => lost[i]).Sum(i => (long)was[i].A), clear = tile.Where(i => lost[i]).Sum(i => 255L - was[i].A);
                return clear + Math.Min(ink, tile.Where(i => !lost[i] && now[i].A == 255 && Prints(now[i])).Sum(i => 255L - was[i].A));
            });
        return lost.Count(isLost => isLost) - ((spared + 254) / 255);
    }

    private static List<int[]> Parts(bool[] lost, int width)
    {
        var left = (bool[])lost.Clone();
        var parts = new List<int[]>();
        for (int i = 0; i < left.Length; i++)
        {
            if (left[i])
            {
                parts.Add([.. Flood([i], p => left[p], left.Length, width)]);
                Array.ForEach(parts[^1], p => left[p] = false);
            }
        }

        return parts;
    }

    private static HashSet<int> Flood(IEnumerable<int> from, Func<int, bool> passes, int length, int width)
    {
        var reached = from.ToHashSet();
        var open = new Stack<int>(reached);
        while (open.TryPop(out int i))
        {
            foreach (int next in (int[])[i % width > 0 ? i - 1 : -1, i % width < width - 1 ? i + 1 : -1, i - width, i + width])
            {
                if (next >= 0 && next < length && passes(next) && reached.Add(next))
                {
                    open.Push(next);
                }
            }
        }

        return reached;
    }

    private static Box? BoxOf(IEnumerable<int> places, int width)
    {
        var all = places.ToList();
        return all.Count == 0 ? null
            : new Box(all.Min(i => i % width), all.Min(i => i / width), all.Max(i => i % width) - all.Min(i => i % width) + 1,
            all.Max(i => i / width) - all.Min(i => i / width) + 1);
    }

    private static GuardResult Guard(GuardedArt judged, string name) => judged.Guards.Single(guard => guard.Name == name);

    private static Artwork Edited(Artwork art, Func<int, int, Rgba8, Rgba8> change)
    {
        var flat = art.Flat;
        return art.WithLayer(Layer.Replace(
            "edit", LayerIntent.Fill, Pictures.Art(art.Width, art.Height, (x, y) => change(x, y, flat[x, y])),
            Plane<byte>.OneValue(art.Width, art.Height, 255)));
    }
}
