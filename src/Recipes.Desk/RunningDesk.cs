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
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(1);

    private readonly string? file;
    private readonly string? host, secret;

    private RunningDesk(string? file)
    {
        this.file = file;
        var known = file is not null && File.Exists(file) && OwnerOnly.Is(file) ? OutsideJson.ReadFile(file, Longest) : null;
        (host, secret) = (known.Text("host"), known.Text("secret"));
    }

    /// <summary>The port that it had, or null.</summary>
    public int? LastPort =>
        Uri.TryCreate($"http://{host}/", UriKind.Absolute, out var address) && address is { IsLoopback: true, Port: > 0 } ? address.Port : null;

    /// <summary>The desk of these folders, and of this folder of work files.</summary>
    public static RunningDesk Of(DeskOptions options)
    {
        string what = string.Join('\n', options.Folders.Append(options.WorkFolder ?? "").Select(folder => folder.Length == 0 ? "" : RealPath.Of(folder)));
        string name = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(what)))[..16];
        return new RunningDesk(UserFolders.State is { } state ? Path.Combine(state, "desk", $"{name}.json") : null);
    }

    /// <summary>A fresh link to the desk that runs, or null where none does.</summary>
    public async Task<Uri?> Link(CancellationToken cancel)
    {
        if (LastPort is not { } port || secret is null)
        {
            return null;
        }

        try
        {
            // What has the port now may be anybody's: it is told nothing that it could use, and must prove itself, too.
            string nonce = Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(32));
            var ask = new JsonObject { ["nonce"] = nonce, ["proof"] = Door.Proof(secret, $"127.0.0.1:{port}", nonce) };
            using var client = new HttpClient(new SocketsHttpHandler { UseProxy = false, AllowAutoRedirect = false })
            {
                Timeout = Patience, MaxResponseContentBufferSize = Longest,
            };
            var address = new Uri($"http://127.0.0.1:{port}/");
            using var answer = await client.PostAsync(new Uri(address, "api/start"), new StringContent(ask.ToJsonString()), cancel).ConfigureAwait(false);
            var told = answer.IsSuccessStatusCode ? OutsideJson.Parse(await answer.Content.ReadAsByteArrayAsync(cancel).ConfigureAwait(false)) : null;
            return told.Text("code") is { } code && told.Text("proof") == Door.Proof(secret, nonce, code) ? new Uri(address, $"#code={code}") : null;
        }
        catch (Exception e) when (e is HttpRequestException or OperationCanceledException)
        {
            // It has ended; whatever has the port now isn't asked for more.
            return null;
        }
    }

    /// <summary>Writes down where this desk is. Where it can't, a second start makes a second desk.</summary>
    public void Remember(DeskServer desk)
    {
        if (file is null)
        {
            return;
        }

        try
        {
            OwnerOnly.CreateFolder(Path.GetDirectoryName(file)!);
            byte[] text = Encoding.UTF8.GetBytes(new JsonObject { ["host"] = desk.Address.Authority, ["secret"] = desk.Secret }.ToJsonString());
            AtomicFile.Write(file, stream => stream.Write(text), ownerOnly: true);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or Problems.ProblemException)
        {
            Console.Error.WriteLine($"Where the desk is couldn't be noted: {e.Message}");
        }
    }

    /// <summary>Forgets the secret once the desk has ended; where it was stays known.</summary>
    public void Forget()
    {
        if (file is not null && File.Exists(file) && OutsideJson.ReadFile(file, Longest) is { } known)
        {
            byte[] text = Encoding.UTF8.GetBytes(new JsonObject { ["host"] = known.Text("host") }.ToJsonString());
            AtomicFile.Write(file, stream => stream.Write(text), ownerOnly: true);
        }
    }
}
