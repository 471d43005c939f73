using System.Runtime.InteropServices;
using Recipes.Imaging;

namespace Recipes.Api;

/// <summary>
/// The stretches of one tile that a region covers and that have one color, in reading order. What a request does to a color it
/// does to a stretch at once, and regions and flat art are made of long ones.
/// </summary>
internal ref struct Stretches(Tile<byte> coverage, Tile<Rgba8> art)
{
    private int covered;

    /// <summary>The first pixel, counted in rows from the tile's top.</summary>
    public int Start { get; private set; }

    /// <summary>How many pixels.</summary>
    public int Length { get; private set; }

    /// <summary>Their color.</summary>
    public readonly Rgba8 Color => art.IsOneValue ? art.Value : art.Samples[Start];

    /// <summary>Goes to the next one.</summary>
    public bool MoveNext()
    {
        Start += Length;
        if (Start == covered && !Cover())
        {
            return false;
        }

        Length = covered - Start;
        if (!art.IsOneValue)
        {
            // As integers the search is vectorized by the base class library.
            var colors = MemoryMarshal.Cast<Rgba8, uint>(art.Samples.Slice(Start, Length));
            int same = colors.IndexOfAnyExcept(colors[0]);
            Length = same < 0 ? Length : same;
        }

        return true;
    }

    // Goes to the next covered pixel and sees how far coverage reaches from there.
    private bool Cover()
    {
        if (coverage.IsOneValue)
        {
            covered = coverage.Value == 0 ? 0 : coverage.Count;
            return Start < covered;
        }

        int skip = coverage.Samples[Start..].IndexOfAnyExcept((byte)0);
        if (skip < 0)
        {
            return false;
        }

        Start += skip;
        int reach = coverage.Samples[Start..].IndexOf((byte)0);
        covered = reach < 0 ? coverage.Count : Start + reach;
        return true;
    }
}
