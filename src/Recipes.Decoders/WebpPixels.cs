using System.Runtime.InteropServices;
using Recipes.Imaging;
using SixLabors.ImageSharp;
using SixLabors.ImageSharp.Advanced;
using SixLabors.ImageSharp.Formats.Webp;
using SixLabors.ImageSharp.Memory;
using SixLabors.ImageSharp.PixelFormats;

namespace Recipes.Decoders;

/// <summary>Decodes the pixels of a checked WebP file.</summary>
internal static class WebpPixels
{
    // 200 megapixels of 4 bytes are 800 MB; no single buffer of a decoder needs more.
    private const int LargestBufferMegabytes = 1024;

    // Private and without any registered format: the decoder is named, never guessed.
    private static readonly Configuration Configuration = new()
    {
        MemoryAllocator = MemoryAllocator.Create(new MemoryAllocatorOptions { AllocationLimitMegabytes = LargestBufferMegabytes }),
    };

    public static Plane<Rgba8> Decode(ReadOnlySpan<byte> file, Heading heading, Refusal refusal)
    {
        try
        {
            // Profiles and EXIF are read by the structure reader; the library's own readers of them stay unused.
            using var image = Image.Load<Rgba32>(Configuration, file, new WebpDecoder { IgnoreMetadata = true });
            return image.Width == heading.Width && image.Height == heading.Height
                ? ToPlane(image.Frames.RootFrame)
                : throw new InvalidImageContentException("The size changed on the way.");
        }
        catch (Exception e) // Hostile data makes the library throw anything: index, null, memory, overflow.
        {
            throw refusal.Damaged("its pixel data can't be decoded", e);
        }
    }

    private static Plane<Rgba8> ToPlane(ImageFrame<Rgba32> frame) => Plane<Rgba8>.Build(frame.Width, frame.Height, null, (bounds, samples) =>
    {
        for (int y = 0; y < bounds.Height; y++)
        {
            var row = frame.DangerousGetPixelRowMemory(bounds.Y + y).Span.Slice(bounds.X, bounds.Width);
            MemoryMarshal.Cast<Rgba32, Rgba8>(row).CopyTo(samples[(y * bounds.Width)..]);
        }
    });
}
