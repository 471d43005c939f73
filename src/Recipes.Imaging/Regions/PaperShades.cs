using System.Collections.Immutable;

namespace Recipes.Imaging;

/// <summary>What a pixel is beside paper of one color, found in one look at each pixel.</summary>
internal enum PaperShade : byte
{
    /// <summary>Further from the paper than twice the larger tolerance.</summary>
    Art,
    /// <summary>Between the larger tolerance and twice that.</summary>
    LightArt,
    /// <summary>Within the larger tolerance, and no paper by the smaller one.</summary>
    Pale,
    /// <summary>Within the smaller tolerance, and about as neutral as the paper.</summary>
    Paper,
    /// <summary>The paper's very color.</summary>
    Exact,
    /// <summary>Alpha 0.</summary>
    Clear,
}

/// <summary>The shades of a whole picture beside its paper.</summary>
internal sealed class PaperShades
{
    private readonly Plane<byte> shades;
    private readonly Plane<Rgba8> art;

    /// <param name="art">Flattened art.</param>
    /// <param name="paper">The paper's color, or the darkest of a gray pattern.</param>
    /// <param name="tolerance">How far from it paper may be.</param>
    /// <param name="lightest">The lightest level of a gray pattern; null where the paper has one color.</param>
    public PaperShades(Plane<Rgba8> art, Rgba8 paper, PaperTolerance tolerance, Rgba8? lightest = null)
    {
        this.art = art;
        var judge = new Judge(paper, tolerance.Background, tolerance.NearArt, lightest is { } light ? light.G - paper.G : 0);
        shades = Plane<byte>.Build(art.Width, art.Height, null, (bounds, target) =>
        {
            var pixels = art.Tiles[art.Grid.IndexAt(bounds.X, bounds.Y)].Samples;
            for (int i = 0; i < target.Length; i++)
            {
                target[i] = (byte)judge.Of(pixels[i]);
            }
        }, tile => art.Tiles[tile] is { IsOneValue: true } one ? Tile<byte>.OneValue(one.Width, one.Height, (byte)judge.Of(one.Value)) : null);
    }

    /// <summary>The pixels of these shades.</summary>
    public Region Of(params ReadOnlySpan<PaperShade> wanted)
    {
        var table = new byte[6];
        foreach (var shade in wanted)
        {
            table[(int)shade] = 255;
        }

        return new Region(Plane<byte>.Build(art.Width, art.Height, null, (bounds, target) =>
        {
            var from = shades.Tiles[shades.Grid.IndexAt(bounds.X, bounds.Y)].Samples;
            for (int i = 0; i < target.Length; i++)
            {
                target[i] = table[from[i]];
            }
        }, tile => shades.Tiles[tile] is { IsOneValue: true } one ? Tile<byte>.OneValue(one.Width, one.Height, table[one.Value]) : null), art);
    }

    private readonly struct Judge(Rgba8 paper, int background, int nearArt, int span)
    {
        public PaperShade Of(Rgba8 pixel)
        {
            if (pixel.A == 0)
            {
                return PaperShade.Clear;
            }

            // The nearest gray of a pattern stands for its paper.
            int lighter = span == 0 ? 0 : Math.Clamp(pixel.G - paper.G, 0, span);
            int r = paper.R + lighter - pixel.R, g = paper.G + lighter - pixel.G, b = paper.B + lighter - pixel.B;
            int least = Math.Min(r, Math.Min(g, b)), most = Math.Max(r, Math.Max(g, b)), far = Math.Max(-least, most);
            return far == 0 ? PaperShade.Exact
                : far <= background && (most - least) * 2 <= background ? PaperShade.Paper
                : far <= nearArt ? PaperShade.Pale
                : far <= 2 * nearArt ? PaperShade.LightArt : PaperShade.Art;
        }
    }
}
