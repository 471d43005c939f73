using System.Security.Cryptography;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Reports;
using Recipes.Work;

namespace Recipes.Hosting.DryRuns;

/// <summary>
/// Binds the files of a dry run together: the report carries a MAC (HMAC-SHA256 under the user's own key) over itself and the hash of every
/// picture and page. A folder whose seal holds is as this user's program wrote it. One that has none, or another's, has to be computed again.
/// </summary>
internal static class DryRunSeal
{
    /// <summary>The report's field that holds it.</summary>
    public const string Field = "seal";

    /// <summary>The seal, lower-case hex, or null where there is no key to seal with.</summary>
    /// <param name="report">The report; its own seal isn't looked at.</param>
    /// <param name="files">Every other file: its name as seen from the folder, and its hash.</param>
    /// <param name="create">True: makes the user's key where there is none.</param>
    public static string? Of(JsonObject report, IEnumerable<KeyValuePair<string, string>> files, bool create)
    {
        try
        {
            if (UserKey.Find(create) is not { } key)
            {
                return null;
            }

            var bare = report.DeepClone().AsObject();
            bare.Remove(Field);
            using var text = new MemoryStream();
            var sorted = files.OrderBy(file => file.Key, StringComparer.Ordinal).Select(file => $"{file.Value}  {file.Key}\n");
            text.Write(Encoding.UTF8.GetBytes("dry run\n" + string.Concat(sorted)));
            ReportJson.Write(text, bare);
            return Convert.ToHexStringLower(HMACSHA256.HashData(key, text.GetBuffer().AsSpan(0, (int)text.Length)));
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }

    /// <summary>True where the folder is as this user's program wrote it.</summary>
    /// <param name="folder">The folder.</param>
    /// <param name="report">Its report, as read.</param>
    public static bool Holds(string folder, JsonObject report)
    {
        if (report.Text(Field) is not { } seal || DryRunFolder.FilesOf(report) is not { } names)
        {
            return false;
        }

        try
        {
            var files = new KeyValuePair<string, string>[names.Count];
            Parallel.For(0, files.Length, i =>
                files[i] = KeyValuePair.Create(names[i], OutsideFile.Sha256(Path.Combine(folder, names[i]), WorkFile.LargestOriginal)));
            return Of(report, files, create: false) is { } own
                && CryptographicOperations.FixedTimeEquals(Encoding.ASCII.GetBytes(own), Encoding.UTF8.GetBytes(seal));
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or AggregateException)
        {
            return false;
        }
    }
}
