using System.Collections.Concurrent;
using System.Security.Cryptography;
using System.Text;
using Microsoft.Net.Http.Headers;

namespace Recipes.Desk;

/// <summary>
/// Who is let in. The page lies on this machine alone, but any program and any page in the same browser can reach its port: whoever asks must name this very
/// address, come from no other page, and hold a key that was given for a code. A code works once, and only this user could read it.
/// </summary>
internal sealed class Door
{
    /// <summary>The scheme of the header that carries a key. No cookie does: those of one port are sent to every other.</summary>
    public const string Scheme = "Desk ";

    private const int MostKeys = 1000;

    private readonly ConcurrentDictionary<string, byte> codes = new(), keys = new();

    /// <summary>What a second start of the same user's proves itself by.</summary>
    public string StarterSecret { get; } = Secret();

    /// <summary>The address that requests must name, <c>127.0.0.1:PORT</c>; known once the port is.</summary>
    public string Host { get; set; } = "";

    /// <summary>A fresh code, which opens the page once.</summary>
    public string NewCode()
    {
        string code = Secret();
        codes[code] = 0;
        return code;
    }

    /// <summary>A key for a code, which is used up; null where it is none.</summary>
    public string? KeyFor(string code)
    {
        if (!codes.TryRemove(code, out _) || keys.Count >= MostKeys)
        {
            return null;
        }

        return NewKey();
    }

    /// <summary>A code for a second start, and the proof that it came from here; null where the start doesn't prove that it is this user's.</summary>
    /// <param name="nonce">What the start made up.</param>
    /// <param name="proof">Its proof, <see cref="Proof"/> of the nonce for this address.</param>
    public (string Code, string Proof)? CodeForStart(string nonce, string proof)
    {
        if (!CryptographicOperations.FixedTimeEquals(Encoding.UTF8.GetBytes(proof), Encoding.UTF8.GetBytes(Proof(StarterSecret, Host, nonce))))
        {
            return null;
        }

        string code = NewCode();
        return (code, Proof(StarterSecret, nonce, code));
    }

    /// <summary>Proves that one knows the secret without saying it (RFC 2104); for one address, so that nobody else's port can pass it on.</summary>
    public static string Proof(string secret, string about, string text) =>
        Convert.ToHexStringLower(HMACSHA256.HashData(Encoding.UTF8.GetBytes(secret), Encoding.UTF8.GetBytes($"{about}\n{text}")));

    /// <summary>A key.</summary>
    public string NewKey()
    {
        string key = Secret();
        keys[key] = 0;
        return key;
    }

    /// <summary>The status that a request is turned away with, or null where it may pass.</summary>
    public int? Refuses(HttpRequest request)
    {
        if (request.Host.Value != Host)
        {
            // A name of another site that was made to mean this machine.
            return StatusCodes.Status421MisdirectedRequest;
        }

        // The page itself may be led to from anywhere, as from the file that the browser is opened with: it holds nothing, and no other page can frame it.
        bool visits = request.Path == "/" && HttpMethods.IsGet(request.Method) && request.Headers["Sec-Fetch-Mode"] == "navigate";
        string site = visits ? "" : request.Headers["Sec-Fetch-Site"].ToString(), origin = request.Headers.Origin.ToString();
        if (site is not ("" or "same-origin" or "none") || (origin.Length > 0 && origin != $"http://{Host}"))
        {
            return StatusCodes.Status403Forbidden;
        }

        bool open = !request.Path.StartsWithSegments("/api") || request.Path == "/api/session" || request.Path == "/api/start";
        return open || IsKnown(request.Headers.Authorization.ToString()) ? null : StatusCodes.Status401Unauthorized;
    }

    /// <summary>Says to the browser what the page may do: nothing but talk to this address, and write outside text as text.</summary>
    public static void Label(IHeaderDictionary headers)
    {
        headers.ContentSecurityPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; base-uri 'none'; "
            + "form-action 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types 'none'";
        headers.XContentTypeOptions = "nosniff";
        headers["Cross-Origin-Resource-Policy"] = "same-origin";
        headers["Cross-Origin-Opener-Policy"] = "same-origin";
        headers["Referrer-Policy"] = "no-referrer";
        headers["Permissions-Policy"] = "camera=(), microphone=(), geolocation=()";
        headers[HeaderNames.CacheControl] = "no-store";
    }

    // Secrets are looked up by their hash table: how long that takes tells nothing of one that is 256 bits of chance.
    private bool IsKnown(string header) => header.StartsWith(Scheme, StringComparison.Ordinal) && keys.ContainsKey(header[Scheme.Length..]);

    private static string Secret() => Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(32));
}
