using Recipes.Imaging;
using SixLabors.ImageSharp;
using SixLabors.ImageSharp.Formats.Jpeg;
using SixLabors.ImageSharp.Metadata;
using SixLabors.ImageSharp.PixelFormats;

namespace Recipes.Decoders;

/// <summary>A JPEG of an art, with the noise that compression leaves around its edges.</summary>
public static class JpegCopy
{
    /// <summary>Encodes at a quality from 1 to 100, chroma at half resolution, alpha over white.</summary>
    public static byte[] Of(Plane<Rgba8> flat, double? pixelsPerInch, int quality)
    {
        ArgumentNullException.ThrowIfNull(flat);
        using var image = new Image<Rgb24>(flat.Width, flat.Height);
        for (int y = 0; y < flat.Height; y++)
        {
            for (int x = 0; x < flat.Width; x++)
            {
                var pixel = Blend.Over(Rgba8.White, flat[x, y], BlendMode.Normal, 1);
                image[x, y] = new Rgb24(pixel.R, pixel.G, pixel.B);
            }
        }

        image.Metadata.ResolutionUnits = PixelResolutionUnit.PixelsPerInch;
        image.Metadata.HorizontalResolution = image.Metadata.VerticalResolution = pixelsPerInch ?? 72;
        using var stream = new MemoryStream();
        image.Save(stream, new JpegEncoder { Quality = quality, ColorType = JpegColorType.YCbCrRatio420 });
        return stream.ToArray();
    }
}
