namespace Recipes.Imaging;

public static partial class Find
{
    // Levels that a pixel of a flat background may lie from its color.
    private const int Flatness = 4;

    /// <summary>
    /// What lies outside the art: transparent pixels, and pixels within 4 levels of a background color that a 4-connected
    /// walk from the border of the image reaches through such pixels and transparent ones, but for whites that were made printable and parts that run off the
    /// picture, which may be art. In a
    /// cut-out, of art whose paper was cleaned away, so that most of the picture's edge is clear, and of checkers that were saved into
    /// the picture, only transparent pixels are outside. Of art that fills its frame nothing is, unless at least half of its
    /// border is that background.
    /// </summary>
    /// <param name="art">Flattened art.</param>
    /// <param name="background">The background's color; its alpha is ignored.</param>
    /// <param name="ground">What the figure lies on; judged from the art where null.</param>
    /// <param name="printedWhite">Whites that an earlier step made printable, which are art; none where null.</param>
    public static Region Outside(Plane<Rgba8> art, Rgba8 background, Ground? ground = null, Region? printedWhite = null)
    {
        ground ??= Ground.Of(art);
        if (ground.IsCutOut || IsCleaned(art, ground) || Checkers(art, ground.Edge) is not null)
        {
            return Transparent(art).On(ground);
        }

        var near = LevelTest.Around(background, Flatness);
        near = near with { Least = near.Least.WithAlpha(255 - Flatness) };
        if (!ground.HasPaper && !FillsBorder(art, near))
        {
            return new Region(Plane<byte>.OneValue(art.Width, art.Height, 0), art).On(ground);
        }

        var clear = Transparent(art);
        var passable = Found(art, near).Union(clear);
        passable = printedWhite is null ? passable : passable.Except(Covered(printedWhite));
        var parts = ConnectedRegions.Of(passable.Coverage);
        return passable.With(parts.Keep(passable.Coverage, parts.OnBorder())).Except(RunningOff(passable, parts, ground)).Union(clear).On(ground);
    }

    // What runs off the picture may be art, and is asked about.
    private static Region RunningOff(Region passable, ConnectedRegions parts, Ground ground)
    {
        var inside = passable.Except(Outside(passable.FoundIn, ground.Edge));
        parts = ReferenceEquals(inside, passable) ? parts : ConnectedRegions.Of(inside.Coverage);
        return inside.With(parts.Keep(inside.Coverage, AtEdge(parts, ground.Edge, asks: true).Cropped));
    }

    /// <summary>True where paper was cleaned away: at least half of the picture's own edge is clear.</summary>
    internal static bool IsCleaned(Plane<Rgba8> art, Ground ground)
    {
        var border = Border(art, ground.Edge);
        int clear = 0;
        foreach (var pixel in border)
        {
            clear += pixel.IsTransparent ? 1 : 0;
        }

        return clear * 2 >= border.Length;
    }

    private static bool FillsBorder(Plane<Rgba8> art, LevelTest near)
    {
        long held = 0, all = 0;
        for (int y = 0; y < art.Height; y++)
        {
            bool whole = y == 0 || y == art.Height - 1;
            for (int x = 0; x < art.Width; x += whole ? 1 : Math.Max(1, art.Width - 1))
            {
                all++;
                held += art[x, y].IsTransparent || near.Holds(art[x, y]) ? 1 : 0;
            }
        }

        return held * 2 >= all;
    }

    /// <summary>Every pixel outside of a box.</summary>
    public static Region Outside(Plane<Rgba8> art, Box box)
    {
        ArgumentNullException.ThrowIfNull(art);
        return new Region(Plane<byte>.Build(art.Width, art.Height, null, (bounds, samples) =>
        {
            samples.Fill(255);
            var part = box.Within(bounds);
            for (int y = part.Y; y < part.Bottom && part.Width > 0; y++)
            {
                samples.Slice(((y - bounds.Y) * bounds.Width) + part.X - bounds.X, part.Width).Clear();
            }
        }), art);
    }
}
