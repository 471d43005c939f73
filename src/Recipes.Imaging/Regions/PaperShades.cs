using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

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
            judge.Of(art.Tiles[art.Grid.IndexAt(bounds.X, bounds.Y)].Samples, target);
        }, tile => art.Tiles[tile] is { IsOneValue: true } one ? Tile<byte>.OneValue(one.Width, one.Height, (byte)judge.Of(one.Value)) : null);
    }

    /// <summary>The pixels of these shades.</summary>
    public Region Of(params ReadOnlySpan<PaperShade> wanted)
    {
        // As many as one vector holds: it is the table that sixteen shades are looked up in at once.
        var table = new byte[Vector128<byte>.Count];
        foreach (var shade in wanted)
        {
            table[(int)shade] = 255;
        }

        return new Region(Plane<byte>.Build(art.Width, art.Height, null, (bounds, target) =>
        {
            var from = shades.Tiles[shades.Grid.IndexAt(bounds.X, bounds.Y)].Samples;
            var lookup = Vector128.Create<byte>(table);
            int i = 0;
            for (; i + Vector128<byte>.Count <= target.Length; i += Vector128<byte>.Count)
            {
                Vector128.Shuffle(lookup, Vector128.Create(from[i..])).CopyTo(target[i..]);
            }

            for (; i < target.Length; i++)
            {
                target[i] = table[from[i]];
            }
        }, tile => shades.Tiles[tile] is { IsOneValue: true } one ? Tile<byte>.OneValue(one.Width, one.Height, table[one.Value]) : null), art);
    }

    private readonly struct Judge(Rgba8 paper, int background, int nearArt, int span)
    {
        public void Of(ReadOnlySpan<Rgba8> pixels, Span<byte> shades)
        {
            int i = 0;
            if (span == 0 && background <= Math.Min(nearArt, 127))
            {
                var words = MemoryMarshal.Cast<Rgba8, uint>(pixels);
                var four = new FourPixels(paper, background, nearArt);
                for (; i + 16 <= words.Length; i += 16)
                {
                    var low = Vector128.Narrow(four.Of(words[i..]), four.Of(words[(i + 4)..]));
                    var high = Vector128.Narrow(four.Of(words[(i + 8)..]), four.Of(words[(i + 12)..]));
                    Vector128.Narrow(low, high).CopyTo(shades[i..]);
                }
            }

            for (; i < pixels.Length; i++)
            {
                shades[i] = (byte)Of(pixels[i]);
            }
        }

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
            return far switch
            {
                0 => PaperShade.Exact,
                _ when far <= background && (most - least) * 2 <= background => PaperShade.Paper,
                _ when far <= nearArt => PaperShade.Pale,
                _ when far <= 2 * nearArt => PaperShade.LightArt,
                _ => PaperShade.Art,
            };
        }
    }

    // The same of four pixels at once, where the smaller tolerance is no larger than the other: then each shade is one more than the one around it. No
    // channel of what is near enough to be paper wraps around up to a tolerance of 127.
    private readonly struct FourPixels(Rgba8 paper, int background, int nearArt)
    {
        private readonly LevelTest.Lanes light = LevelTest.Around(paper, 2 * nearArt).Four, pale = LevelTest.Around(paper, nearArt).Four,
            near = LevelTest.Around(paper, background).Four, exact = LevelTest.Around(paper, 0).Four;
        // Moves the paper to the middle of all levels.
        private readonly Vector128<byte> middle = Vector128.Create<byte>(128) - Vector128.Create(Unsafe.BitCast<Rgba8, uint>(paper)).AsByte();
        private readonly Vector128<uint> apart = Vector128.Create((uint)(background / 2));

        public Vector128<uint> Of(ReadOnlySpan<uint> four)
        {
            var pixels = Vector128.Create(four);
            var moved = (pixels.AsByte() + middle).AsUInt32();
            Vector128<uint> green = Vector128.ShiftRightLogical(moved, 8), blue = Vector128.ShiftRightLogical(moved, 16), channel = Vector128.Create(255u);
            var most = Vector128.Max(Vector128.Max(moved & channel, green & channel), blue & channel);
            var least = Vector128.Min(Vector128.Min(moved & channel, green & channel), blue & channel);
            var isNeutral = Vector128.Equals(Vector128.Max(most - least, apart), apart);
            // What holds is all ones, which is -1.
            var shade = Vector128<uint>.Zero - light.Of(pixels) - pale.Of(pixels) - (near.Of(pixels) & isNeutral) - exact.Of(pixels);
            var isClear = Vector128.Equals(Vector128.ShiftRightLogical(pixels, 24), Vector128<uint>.Zero);
            return Vector128.ConditionalSelect(isClear, Vector128.Create((uint)PaperShade.Clear), shade);
        }
    }
}
