using System.Collections.Concurrent;
using Recipes.Imaging;
using Recipes.Imaging.Pictures;

namespace Recipes.Desk;

/// <summary>
/// The pictures of one shown state, at the sizes that the page asks for: level 0 is the art's own, and each further level halves it. They are drawn once they
/// are asked for, and what a try left as it was isn't drawn again.
/// </summary>
/// <param name="before">What a try began with; null for a state.</param>
/// <param name="flat">The flattened art.</param>
/// <param name="setup">The garment setup.</param>
internal sealed class Pictures(Pictures? before, Plane<Rgba8> flat, GarmentSetup setup)
{
    /// <summary>The smallest picture is the art halved so often: 200 megapixels fit into one tile then.</summary>
    public const int MostLevels = 7;

    private readonly ConcurrentDictionary<(string Name, int Level), Lazy<Plane<Rgba8>>> drawn = new();

    /// <summary>The flattened art.</summary>
    public Plane<Rgba8> Flat => flat;

    /// <summary>Bytes that it holds beside what it shares with what it began with, at most.</summary>
    public long Bytes => 4L * flat.Width * flat.Height;

    /// <summary>A picture at a level; null where there is none of that name.</summary>
    /// <param name="name"><c>raw</c>, <c>cloth</c>, <c>bare</c> or <c>difference</c>, which only a try of the same size has.</param>
    /// <param name="level">0 to <see cref="MostLevels"/>.</param>
    public Plane<Rgba8>? Find(string name, int level)
    {
        bool known = level is >= 0 and <= MostLevels && (name is "raw" or "cloth" or "bare" || (name == "difference" && before?.Flat.Grid == flat.Grid));
        return known ? drawn.GetOrAdd((name, level), _ => new(() => Draw(name, level))).Value : null;
    }

    private Plane<Rgba8> Draw(string name, int level)
    {
        int shrink = 1 << level;
        return name switch
        {
            "raw" => level == 0 ? flat : Overview.OfArt(flat, shrink),
            "bare" => InkPicture.Render(flat, setup.Ink, shrink),
            "cloth" => GarmentPicture.Render(flat, setup, shrink,
                before is { } was && was.Flat.Grid == flat.Grid && was.Find(name, level) is { } picture ? (was.Flat, picture) : null),
            _ => level == 0 ? Crop.Of(DiffPicture.Render(before!.Flat, flat, setup.Ink), new Box(0, 0, flat.Width, flat.Height))
                : Overview.OfDiff(Find(name, 0)!, before!.Flat, flat, shrink),
        };
    }
}
