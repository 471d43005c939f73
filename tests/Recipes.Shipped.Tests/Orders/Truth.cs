using System.Collections.Immutable;
using Recipes.Imaging;

namespace Recipes.Shipped.Tests.Orders;

/// <summary>What must become of a pixel under a garment setup.</summary>
internal enum Verdict : byte
{
    /// <summary>Either will do.</summary>
    Any,
    Prints,
    /// <summary>Cloth must show.</summary>
    Bare,
    /// <summary>Drawn black, and black stays bare: cloth must show.</summary>
    Drops,
    /// <summary>White art on light cloth, or light cloth inside art: bare and nearly white look alike.</summary>
    Pale,
}

/// <summary>Something that has to be asked, because the picture alone doesn't tell it, and where.</summary>
internal sealed record Need(string About, bool[] Where);

/// <summary>What an order must come to, known from how it was made.</summary>
/// <param name="Seen">What the finished garment must show.</param>
/// <param name="Coverage">How much of each pixel is art, 0 to 255.</param>
internal sealed record Truth(Kinds Kinds, Rgba8[] Seen, byte[] Coverage, Verdict[] Verdicts, ImmutableArray<Need> Needs)
{
    // CIEDE2000: what is just seen, and the general tolerance; common practice, no source.
    private const double JustSeen = 2, Tolerated = 5;

    public static Truth Of(Received received, bool onPaper, Kinds kinds, GarmentSetup setup)
    {
        var art = received.Art;
        bool dark = setup.Garment.G < 128;
        var holes = Holes(art);
        var verdicts = Enumerable.Range(0, art.Ideal.Length).Select(i => art.Parts[i] switch
        {
            Part.Ground => holes[i] && !dark ? Verdict.Pale : Verdict.Bare,
            Part.Black when setup.Ink.BlackBare => art.Ideal[i].A == 255 ? Verdict.Drops : Verdict.Any,
            Part.Black => Verdict.Prints,
            Part.Ink when IsHidden(art.Ideal[i]) => Verdict.Any,
            Part.Ink => !dark && IsPale(art.Ideal[i]) ? Verdict.Pale : Verdict.Prints,
            _ => Verdict.Any,
        }).ToArray();
        var needs = NeedsOf(art, onPaper ? holes : new bool[holes.Length], (onPaper, dark), kinds, setup);
        byte[] coverage = [.. art.Ideal.Select(pixel => pixel.A)];
        return new Truth(kinds, Delivery.Over(art.Ideal, setup.Garment), coverage, WithMargins(art, verdicts, received.Blur), needs);

        // Nobody can tell ink from grainy paper of hardly another color; nor, once a lossy file has moved colors by a level, a dark that is just
        // tinted enough to print from one that drops. Neither shows on the garment.
        bool IsHidden(Rgba8 ink) => (received.Grainy is { } paper && Difference(ink, paper) < JustSeen)
            || (received.IsLossy && dark && setup.Ink.BlackBare && Difference(ink, setup.Garment) < Tolerated);

        // What is nearly white, and no further from light cloth than white is, shows as little printed as bare.
        bool IsPale(Rgba8 ink) => Difference(ink, Rgba8.White) <= Tolerated
            && Difference(ink, setup.Garment) <= Difference(Rgba8.White, setup.Garment);

        static double Difference(Rgba8 one, Rgba8 other) => Ciede2000.Difference(LabSpace.D50.Of(one), LabSpace.D50.Of(other));
    }

    // Ground that art surrounds: holes of rings, counters of letters.
    private static bool[] Holes(Rendering art)
    {
        var holes = new bool[art.Parts.Length];
        foreach (var part in Distances.Parts(art.Width, art.Height, i => art.Parts[i] == Part.Ground, reach: 0))
        {
            bool inside = part.TrueForAll(i => i % art.Width > 0 && i % art.Width < art.Width - 1 && i >= art.Width && i < art.Parts.Length - art.Width);
            part.ForEach(i => holes[i] = inside);
        }

        return holes;
    }

    // Nothing is demanded near an edge, but for parts so fine that they would be nothing but edge: of those the pixels that are wholly theirs.
    private static Verdict[] WithMargins(Rendering art, Verdict[] verdicts, double blur)
    {
        int width = art.Width, height = art.Height;
        var kept = (Verdict[])verdicts.Clone();
        foreach (var verdict in (Verdict[])[Verdict.Prints, Verdict.Bare, Verdict.Drops, Verdict.Pale])
        {
            var others = Distances.To(width, height, blur + 1, i => verdicts[i] != verdict && verdicts[i] != Verdict.Any);
            foreach (var part in Distances.Parts(width, height, i => verdicts[i] == verdict))
            {
                if (part.Exists(i => others[i] > blur))
                {
                    part.ForEach(i => kept[i] = others[i] > blur ? verdict : Verdict.Any);
                }
            }
        }

        return kept;
    }

    // The trade's answer to what a picture can't tell; on cloth of nearly the art's own white, bare or printed white looks alike.
    private static ImmutableArray<Need> NeedsOf(Rendering art, bool[] holes, (bool OnPaper, bool Dark) lies, Kinds kinds, GarmentSetup setup)
    {
        var (onPaper, dark) = lies;
        var needs = ImmutableArray.CreateBuilder<Need>();
        Add("enclosed white", Doubt.Enclosed, onPaper && dark);
        Add("white at the edge", Doubt.Edge, onPaper && dark);
        Add("fade", Doubt.Fade, onPaper || kinds.HasFlag(Kinds.FullFrame));
        Add("band", Doubt.Band, dark);
        Add("sheet or checkers", Doubt.Sheet, dark || kinds.HasFlag(Kinds.FullFrame));
        Add("texture", Doubt.Texture, true);
        Add("dark gradient", Doubt.Dark, setup.Ink.BlackBare);
        if (kinds.HasFlag(Kinds.FullFrame) && !art.Doubts.Any(doubt => doubt.HasFlag(Doubt.Sheet)) && Contrasts(art, setup))
        {
            needs.Add(new Need("printed rectangle", [.. art.Parts.Select(_ => true)]));
        }

        return needs.ToImmutable();

        void Add(string about, Doubt doubt, bool matters)
        {
            var where = art.Doubts.Select((each, i) => each.HasFlag(doubt) || (doubt == Doubt.Enclosed && holes[i])).ToArray();
            if (matters && where.Count(each => each) >= OrderJudge.Spot)
            {
                needs.Add(new Need(about, where));
            }
        }
    }

    // Whether over half of the frame's edge stands out from the cloth.
    private static bool Contrasts(Rendering art, GarmentSetup setup)
    {
        var cloth = LabSpace.D50.Of(setup.Garment);
        var border = Enumerable.Range(0, art.Ideal.Length)
            .Where(i => i % art.Width == 0 || i % art.Width == art.Width - 1 || i < art.Width || i >= art.Ideal.Length - art.Width).ToArray();
        return border.Count(i => Ciede2000.Difference(LabSpace.D50.Of(art.Ideal[i]), cloth) > 10) * 2 > border.Length;
    }
}
