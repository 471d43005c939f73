using Recipes.Decoders;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Worker;

/// <summary>Decodes one picture.</summary>
internal static class DecodeJob
{
    /// <summary>The largest file taken, in bytes.</summary>
    private const long LargestFile = 900_000_000;

    /// <summary>Decodes what needs no conversion; says so where the file needs <see cref="Convert"/>.</summary>
    public static void Do(Request from, Stream output) => Do(from, output, ArtDecoder.DecodePlain);

    /// <summary>Decodes, and converts to 8-bit sRGB.</summary>
    public static void Convert(Request from, Stream output) => Do(from, output, ArtDecoder.Decode);

    private static void Do(Request from, Stream output, Func<ReadOnlyMemory<byte>, string, DecodedArt?> decode)
    {
        var request = Message.Read<DecodeRequest>(from.Stream);
        var file = Frame.ReadInPlace(from.Stream, Frame.Bytes, LargestFile);
        from.HasBeenRead();
        DecodedArt? art;
        try
        {
            art = decode(file, request.FileName);
        }
        catch (ProblemException e)
        {
            Message.Write(output, new DecodeReply([.. e.Problems.Select(Program.Tell)], false, "", "", [], null));
            return;
        }

        if (art is null)
        {
            Message.Write(output, new DecodeReply([], true, "", "", [], null));
            return;
        }

        Message.Write(output, new DecodeReply([], false, art.Format, art.Mode, [.. art.Notes], art.Provenance));
        PatchFrame.Write(output, ArtworkPatch.Between(null, art.Art));
    }
}
