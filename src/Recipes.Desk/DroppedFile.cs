using System.Security.Cryptography;
using Recipes.Files;
using Recipes.Problems;

namespace Recipes.Desk;

/// <summary>A file that was dropped onto the page: written beside the others under its own name, and never over another file.</summary>
internal static class DroppedFile
{
    /// <summary>Takes it.</summary>
    /// <returns>The art; the one that is there already where it has the same bytes.</returns>
    /// <exception cref="ProblemException">R8001 another file has the name; R8002 it can't be written.</exception>
    public static async Task<ShelvedArt> Take(HttpRequest request, string path, ArtShelf shelf)
    {
        string partial = Path.Combine(Path.GetDirectoryName(path)!, $".{Path.GetRandomFileName()}.part");
        try
        {
            byte[] sha256 = await Write(request, partial).ConfigureAwait(false);
            try
            {
                File.Move(partial, path, overwrite: false);
            }
            catch (IOException) when (File.Exists(path))
            {
                if (OutsideFile.Sha256(path) != Convert.ToHexStringLower(sha256))
                {
                    throw AtomicFile.Exists(path);
                }
            }
        }
        catch (Exception e) when (e is IOException and not BadHttpRequestException or UnauthorizedAccessException)
        {
            throw new ProblemException(
                Codes.OutputUnwritable, $"{path} can't be written: {e.Message}", "Make room, or allow writing there.", new Place(path), e);
        }
        finally
        {
            File.Delete(partial);
        }

        return shelf.At(path) ?? throw new ProblemException(Codes.ArtMissing, $"{path} is gone again.", "Drop it once more.", new Place(path));
    }

    private static async Task<byte[]> Write(HttpRequest request, string partial)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        var file = new FileStream(partial, FileMode.CreateNew, FileAccess.Write, FileShare.None, 1, FileOptions.Asynchronous);
        await using (file.ConfigureAwait(false))
        {
            var buffer = new byte[1 << 16];
            int read;
            while ((read = await request.Body.ReadAsync(buffer, request.HttpContext.RequestAborted).ConfigureAwait(false)) > 0)
            {
                hash.AppendData(buffer, 0, read);
                await file.WriteAsync(buffer.AsMemory(0, read), request.HttpContext.RequestAborted).ConfigureAwait(false);
            }
        }

        return hash.GetHashAndReset();
    }
}
