using System.Net.Http.Headers;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Files;

namespace Recipes.Desk;

/// <summary>
/// Where this user's desk of these folders was last, in a file that only this user can read: so that a page that is left open finds the desk again where it
/// was, and a second start gives a fresh link to the desk that runs.
/// </summary>
internal sealed class RunningDesk
{
    private const long Longest = 4096;
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(10);

    private readonly string? file;
    private readonly string? host, key;

    private RunningDesk(string? file)
    {
        this.file = file;
        var known = file is not null && File.Exists(file) && OwnerOnly.Is(file) ? OutsideJson.ReadFile(file, Longest) : null;
        (host, key) = (known.Text("host"), known.Text("key"));
    }

    /// <summary>The port that it had, or null.</summary>
    public int? LastPort =>
        Uri.TryCreate($"http://{host}/", UriKind.Absolute, out var address) && address is { IsLoopback: true, Port: > 0 } ? address.Port : null;

    /// <summary>The desk of these folders.</summary>
    public static RunningDesk Of(IEnumerable<string> folders)
    {
        string name = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(string.Join('\n', folders.Select(RealPath.Of)))))[..16];
        return new RunningDesk(UserFolders.State is { } state ? Path.Combine(state, "desk", $"{name}.json") : null);
    }

    /// <summary>A fresh link to the desk that runs, or null where none does.</summary>
    public async Task<Uri?> Link(CancellationToken cancel)
    {
        if (LastPort is not { } port || key is null)
        {
            return null;
        }

        try
        {
            using var client = new HttpClient { Timeout = Patience };
            var address = new Uri($"http://127.0.0.1:{port}/");
            using var request = new HttpRequestMessage(HttpMethod.Post, new Uri(address, "api/code"));
            request.Headers.Authorization = new AuthenticationHeaderValue(Door.Scheme.Trim(), key);
            using var answer = await client.SendAsync(request, cancel).ConfigureAwait(false);
            var json = answer.IsSuccessStatusCode ? OutsideJson.Parse(await answer.Content.ReadAsByteArrayAsync(cancel).ConfigureAwait(false)) : null;
            return json.Text("code") is { Length: 64 } code && code.All(char.IsAsciiHexDigitLower) ? new Uri(address, $"#code={code}") : null;
        }
        catch (Exception e) when (e is HttpRequestException or OperationCanceledException)
        {
            // It has ended; whatever has the port now isn't asked for more.
            return null;
        }
    }

    /// <summary>Writes down where this desk is. Where it can't, a second start makes a second desk.</summary>
    public void Remember(Uri address, string itsKey)
    {
        if (file is null)
        {
            return;
        }

        try
        {
            OwnerOnly.CreateFolder(Path.GetDirectoryName(file)!);
            byte[] text = Encoding.UTF8.GetBytes(new JsonObject { ["host"] = address.Authority, ["key"] = itsKey }.ToJsonString());
            AtomicFile.Write(file, stream => stream.Write(text), ownerOnly: true);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or Problems.ProblemException)
        {
            Console.Error.WriteLine($"Where the desk is couldn't be noted: {e.Message}");
        }
    }
}
