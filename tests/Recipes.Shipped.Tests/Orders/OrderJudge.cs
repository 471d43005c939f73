using System.Collections.Immutable;
using Recipes.Api;
using Recipes.Hosting.Checks;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>What is wrong with a pixel of a finished garment.</summary>
internal enum Fault : byte
{
    None,
    /// <summary>Art that stays bare.</summary>
    Lost,
    /// <summary>Ground that prints: dust, a sheet, a rim.</summary>
    Added,
    /// <summary>Black that prints where it should show the cloth.</summary>
    Mottled,
    /// <summary>Art that our steps gave another color.</summary>
    Discolored,
}

/// <summary>How a pixel of a finished garment is shown to whoever mends what ruins it.</summary>
internal enum Wrong : byte
{
    No,
    Named,
    Silent,
    Rim,
}

/// <summary>A ruined spot of 1 mm2 or more.</summary>
/// <param name="By">The code of the finding or question that names it, or null.</param>
internal sealed record Spot(Fault Fault, Box Box, int Pixels, string? By);

/// <summary>What became of an order.</summary>
/// <param name="Rim">Pale rim on dark cloth, mm2.</param>
/// <param name="Asked">Codes of the questions that were open, each as often as it was asked.</param>
internal sealed record Judgment(Order Order, ImmutableArray<Spot> Spots, double Rim, ImmutableArray<string> Asked, int Needed, ArtKind Kind)
{
    public IEnumerable<Spot> Silent => Spots.Where(spot => spot.By is null);

    public bool KindIsRight => Order.Kinds.HasFlag((Kinds)(1 << (int)Kind));
}

/// <summary>Takes an order through the usual list and holds the result against the truth.</summary>
internal static class OrderJudge
{
    /// <summary>1 mm2 at 300 ppi, px.</summary>
    public const int Spot = 140;

    private const double SquareMillimeter = Order.Ppi * Order.Ppi / (25.4 * 25.4), Near = 2 * Order.Ppi / 25.4;

    // CIEDE2000 from which a rim or another color is seen from arm's length, and up to which our steps changed nothing of note. Ours.
    private const double Seen = 10, Unchanged = 5;

    // The edge of a named spot, and how far into sharp corners of its hole that reaches, where nothing is demanded, px.
    private const int EdgeOfSpot = 4, CornerOfSpot = 14;

    // Px of a block of a JPEG.
    private const int Block = 8;

    // How far from a pixel of a rim the art is looked at, px.
    private const int Reach = 3;

    // CIEDE2000 up to which ink hardly shows on cloth, or beside other ink; 5 is a general tolerance, common practice, no source.
    private const double Pale = 5;

    // Between letters of small type, or dots of a coarse halftone, px.
    private const int Gap = 7;

    // What a code can be about; a code that isn't here can be about anything. Nothing at all: advice on another matter, which happens to
    // lie in the same box.
    private static readonly Dictionary<string, Fault[]> About = new()
    {
        ["near-white-background"] = [Fault.Added], ["halo"] = [Fault.Added], ["near-black"] = [Fault.Mottled], ["bare-black"] = [],
        ["enclosed-white"] = [Fault.Lost, Fault.Added], ["edge-white"] = [Fault.Lost, Fault.Added],
        ["printed-rectangle"] = [Fault.Added], ["checkers"] = [Fault.Added],
        ["thin-lines"] = [], ["thin-gaps"] = [], ["specks"] = [], ["partly-transparent"] = [], ["low-resolution"] = [], ["off-platen"] = [],
    };

    // The usual list without the size, which every order has, in its order (recipes/house-default.recipes).
    private static readonly string[] List = ["clean-background", "remove-halo", "printable-whites", "pure-black"];

    // What one question is about may lie in several places; a finding has one box.
    private sealed record Named(string Code, ImmutableArray<(Box Box, long Pixels)> Places)
    {
        public Named(string code, Box box, long pixels)
            : this(code, [(box, pixels)])
        {
        }

        // What is pure white may end a block of a JPEG before what it is about does.
        public bool Holds(int x, int y) => Places.Any(place => place.Box.Grow(Block).Contains(x, y));

        public long PixelsIn(Box box) => Places.Where(place => !place.Box.Within(box).IsEmpty).Sum(place => place.Pixels);
    }

    public static Judgment Of(Order order)
    {
        var received = order.Receive();
        var truth = order.TruthOf(received);
        var (width, height) = (received.Art.Width, received.Art.Height);
        var art = Artwork.FromPixels(Plane<Rgba8>.FromContiguous(width, height, received.Pixels), Order.Ppi);
        var kind = art.Ground.Kind;
        var named = new List<Named>();
        var asked = new List<string>();
        var check = ArtCheck.Of(art, order.Setup);
        // What check says of the file and the list then mends, or makes worse, is told of no longer; what nothing mends is.
        named.AddRange(check.Findings.Where(finding => finding.Recipe is null && finding.Box is not null)
            .Select(finding => new Named(finding.Code, finding.Box!.Value, finding.Pixels)));
        named.AddRange(check.Questions.Select(question => new Named(question.Code, [.. question.Regions.Select(region => (region.Box, (long)region.Pixels))])));
        foreach (string recipe in List.Where(recipe => recipe != "pure-black" || order.Setup.Ink.BlackBare))
        {
            art = Step(recipe, art, order.Setup, named, asked);
            OrderFolder.WriteStep(order, recipe, art);
        }

        named.AddRange(ArtCheck.Of(art, order.Setup).Findings.Where(finding => finding.Box is not null)
            .Select(finding => new Named(finding.Code, finding.Box!.Value, finding.Pixels)));
        var (spots, rim, wrong) = Look(order, received, truth, art.Flat.ToContiguous(), named);
        OrderFolder.WriteFaults(order, art.Flat.ToContiguous(), wrong);
        return new Judgment(order, spots, rim, MostOften(asked, check.Questions.Select(question => question.Code)), truth.Needs.Length, kind);
    }

    // What check asks in a recipe's name and what the recipe asks itself is one question.
    private static ImmutableArray<string> MostOften(IEnumerable<string> one, IEnumerable<string> other) =>
        [.. one.Union(other).SelectMany(code => Enumerable.Repeat(code, Math.Max(one.Count(each => each == code), other.Count(each => each == code))))];

    /// <summary>Ruined spots and the rim, mm2, of pixels that nobody has said anything about.</summary>
    public static (ImmutableArray<Spot> Spots, double Rim) Look(Order order, Received received, Rgba8[] pixels)
    {
        var (spots, rim, _) = Look(order, received, order.TruthOf(received), pixels, []);
        return (spots, rim);
    }

    private static (ImmutableArray<Spot> Spots, double Rim, Wrong[] Wrong) Look(
        Order order, Received received, Truth truth, Rgba8[] pixels, List<Named> named)
    {
        var (width, height) = (received.Art.Width, received.Art.Height);
        var faults = new Fault[pixels.Length];
        Parallel.For(0, pixels.Length, i => faults[i] = FaultAt(order.Setup, truth, received, pixels[i], i));
        var (spots, told) = SpotsOf(faults, width, height, named);
        var rim = RimOf(order, received, truth, pixels, told);
        Wrong[] wrong = [.. faults.Select((fault, i) => rim[i] ? Wrong.Rim : fault == Fault.None ? Wrong.No : told.Contains(i) ? Wrong.Named : Wrong.Silent)];
        return (spots, rim.Count(isRim => isRim) / SquareMillimeter, wrong);
    }

    private static Artwork Step(string recipe, Artwork art, GarmentSetup setup, List<Named> named, List<string> asked)
    {
        try
        {
            var outcome = Shelf.Run(recipe, art, setup);
            named.AddRange(outcome.Guarded.Guards.Where(guard => guard.Outcome != GuardOutcome.Clear && guard.Box is not null)
                .Select(guard => new Named(guard.Name, guard.Box!.Value, guard.Pixels)));
            foreach (var question in outcome.Run.Reporter.Questions.Where(question => !question.Decided))
            {
                asked.Add(question.Code);
                named.Add(new Named(question.Code, [.. question.Regions.Select(region => (region.Bounds, region.Count))]));
            }

            return outcome.Guarded.Refused ? art : outcome.Guarded.Art;
        }
        catch (ProblemException declined) when (declined.Problems[0].Code == Codes.RecipeDeclined)
        {
            return art;
        }
    }

    // The ruined spots, and the pixels of those that are named.
    private static (ImmutableArray<Spot> Spots, HashSet<int> Named) SpotsOf(Fault[] faults, int width, int height, List<Named> named)
    {
        var spots = ImmutableArray.CreateBuilder<Spot>();
        var told = new HashSet<int>();
        // A px between them doesn't make two spots of one; nor do the gaps of small type and halftones, where art is lost.
        var parts = Distances.Parts(width, height, i => faults[i] > Fault.Lost, reach: 2)
            .Concat(Distances.Parts(width, height, i => faults[i] == Fault.Lost, Gap));
        foreach (var part in parts)
        {
            var fault = part.GroupBy(i => faults[i]).MaxBy(group => group.Count())!.Key;
            var box = part.Aggregate(new Box(0, 0, 0, 0), (around, i) => around.Around(new Box(i % width, i / width, 1, 1)));
            var by = named.FirstOrDefault(name => Names(name, fault, part, box, width));
            if (part.Count >= Spot)
            {
                spots.Add(new Spot(fault, box, part.Count, by?.Code));
            }

            // The edge of a smaller one is no rim either, where it is named.
            if (by is not null)
            {
                told.UnionWith(part);
            }
        }

        return (spots.ToImmutable(), told);
    }

    // It is about such a fault, about as many pixels, and in its place; a rim is thin.
    private static bool Names(Named name, Fault fault, List<int> part, Box box, int width) =>
        (!About.TryGetValue(name.Code, out var about) || about.Contains(fault)) && name.PixelsIn(box) * 2 >= part.Count
        && (name.Code != "halo" || part.Count * 10 < box.Width * box.Height * 3)
        && part.Count(i => name.Holds(i % width, i / width)) * 10 >= part.Count * 9;

    private static Fault FaultAt(GarmentSetup setup, Truth truth, Received received, Rgba8 pixel, int i)
    {
        bool prints = setup.Ink.StateOf(pixel) == InkState.Prints;
        return truth.Verdicts[i] switch
        {
            Verdict.Prints when !prints => Fault.Lost,
            Verdict.Bare when prints => Fault.Added,
            Verdict.Drops when prints => Fault.Mottled,
            Verdict.Pale when prints && Difference(Delivery.Over(pixel, Rgba8.White), Rgba8.White) > Pale => Fault.Added,
            Verdict.Prints when pixel != received.Pixels[i] && Difference(Shown(pixel, setup), truth.Seen[i]) > Seen
                && Difference(Shown(pixel, setup), Delivery.Over(received.Pixels[i], setup.Garment)) > Unchanged => Fault.Discolored,
            _ => Fault.None,
        };
    }

    // Where the art ends, ink that is lighter than it should be and than anything that belongs there; on light cloth, darker. Fades,
    // sheets and textures are asked about as a whole, and what belongs to a named spot is counted there.
    private static bool[] RimOf(Order order, Received received, Truth truth, Rgba8[] pixels, HashSet<int> told)
    {
        var setup = order.Setup;
        var (width, height) = (received.Art.Width, received.Art.Height);
        int sign = setup.Garment.G < 128 ? 1 : -1;
        var far = Distances.To(width, height, Near + 1, i => truth.Coverage[i] >= 128);
        var fromTold = Distances.To(width, height, EdgeOfSpot + 1,
            WithCorners(told, i => truth.Coverage[i] < 128 && setup.Ink.StateOf(pixels[i]) == InkState.Prints, width, pixels.Length).Contains);
        var rim = new bool[pixels.Length];
        if (sign < 0 && received.Overshoots)
        {
            return rim;
        }

        Parallel.For(0, pixels.Length, i =>
        {
            if (truth.Coverage[i] == 255 || far[i] > Near || fromTold[i] <= EdgeOfSpot || setup.Ink.StateOf(pixels[i]) != InkState.Prints
                || (received.Art.Doubts[i] & (Doubt.Fade | Doubt.Sheet | Doubt.Texture)) != 0 || (sign < 0 && truth.Verdicts[i] == Verdict.Pale))
            {
                return;
            }

            var shown = LabSpace.D50.Of(Shown(pixels[i], setup));
            rim[i] = Ciede2000.Difference(shown, LabSpace.D50.Of(truth.Seen[i])) > Seen
                && Around(i).All(near => IsOff(shown, LabSpace.D50.Of(truth.Seen[near])));
        });
        return rim;

        // What looks like ink that belongs beside it makes that no more than wider.
        bool IsOff(Lab shown, Lab seen) => (shown.L - seen.L) * sign > 0 && Ciede2000.Difference(shown, seen) > Pale;

        IEnumerable<int> Around(int i)
        {
            for (int y = Math.Max(0, (i / width) - Reach); y <= Math.Min(height - 1, (i / width) + Reach); y++)
            {
                for (int x = Math.Max(0, (i % width) - Reach); x <= Math.Min(width - 1, (i % width) + Reach); x++)
                {
                    yield return (y * width) + x;
                }
            }
        }
    }

    // Named spots with the corners of their holes: as far as ground goes on from them and prints, but not far.
    private static HashSet<int> WithCorners(HashSet<int> told, Func<int, bool> goesOn, int width, int count)
    {
        var all = new HashSet<int>(told);
        var last = told.ToList();
        for (int step = 0; step < CornerOfSpot && last.Count > 0; step++)
        {
            last = [.. last.SelectMany(i => new[] { i - 1, i + 1, i - width, i + width }).Where(i => i >= 0 && i < count && goesOn(i) && all.Add(i))];
        }

        return all;
    }

    private static Rgba8 Shown(Rgba8 pixel, GarmentSetup setup) =>
        setup.Ink.StateOf(pixel) == InkState.Prints ? Delivery.Over(pixel, setup.Garment) : setup.Garment;

    private static double Difference(Rgba8 one, Rgba8 other) => one == other ? 0 : Ciede2000.Difference(LabSpace.D50.Of(one), LabSpace.D50.Of(other));
}
