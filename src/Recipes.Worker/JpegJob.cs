using Recipes.Decoders;
using Recipes.Protocol;

namespace Recipes.Worker;

/// <summary>Makes a JPEG of an art: what a customer's mail program does to it, for demonstrations and tests.</summary>
internal static class JpegJob
{
    public static void Do(Request from, Stream output)
    {
        var request = Message.Read<JpegRequest>(from.Stream);
        var art = PatchFrame.Read(from.Art, 0, null, inPlace: true).ApplyTo(null);
        from.HasBeenRead();
        Frame.Write(output, Frame.Bytes, JpegCopy.Of(art.Flat, art.PixelsPerInch, request.Quality));
    }
}
