using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Decoders;

/// <summary>The problems of one file, worded in one place; <paramref name="name"/> is the file's name as the user knows it.</summary>
internal sealed class Refusal(string name)
{
    /// <summary>The file's name.</summary>
    public string Name => name;

    /// <summary>Largest side in px.</summary>
    public const int LargestSide = 30_000;

    /// <summary>Largest area in px.</summary>
    public const long LargestArea = 200_000_000;

    public ProblemException NotAPicture(string what) => new(
        Codes.NotAPicture, $"{name} {what}.", "Ask for the art as a PNG, TIFF, JPEG, WebP or OpenRaster file.", new Place(name));

    public ProblemException Damaged(string what, Exception? cause = null) => new(
        Codes.DamagedPicture, $"{name} is damaged: {what}.",
        "Ask for the file again, or open it in the program that made it and export it as PNG.", new Place(name), cause);

    public ProblemException Unsupported(string what, string hint = "Export it as an 8-bit sRGB PNG file and use that.") => new(
        Codes.UnsupportedPicture, $"{name} is {what}, which is not supported.", hint, new Place(name));

    public ProblemException Foreign(string profile) => new(
        Codes.ForeignProfile, $"{name} states colors that can't be converted to sRGB: {profile}.",
        "Convert it to sRGB in the program that made it, so that its colors keep their look, and export it again.", new Place(name));

    /// <summary>Refuses layers that hold too many pixels together, before any of them is decoded.</summary>
    public void CheckLayers(int count, int width, int height)
    {
        if ((long)count * width * height > Artwork.MostComposedPixels)
        {
            throw new ProblemException(
                Codes.PictureSize,
                $"{name} has too many layers for its size: {count} or more of {width} x {height} px.",
                "All visible layers together may have 2,000 megapixels. Merge some of them, or export it flat as PNG.",
                new Place(name));
        }
    }

    /// <summary>Refuses sizes that can't be used, before anything is allocated for them.</summary>
    public void CheckSize(long width, long height)
    {
        if (width == 0 || height == 0)
        {
            throw new ProblemException(Codes.PictureSize, $"{name} has no pixels: it is {width} x {height} px.", "Ask for the file again.", new Place(name));
        }

        if (width > LargestSide || height > LargestSide || width * height > LargestArea)
        {
            throw new ProblemException(
                Codes.PictureSize,
                $"{name} is too large: {width} x {height} px.",
                "The limits are 30,000 px a side and 200 megapixels. Make it smaller, at the size it prints and 300 ppi.",
                new Place(name));
        }
    }
}
