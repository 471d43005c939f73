using System.Text.Json;
using System.Text.Json.Nodes;
using Recipes.Files;
using Recipes.Hosting.Words;
using Recipes.Problems;

namespace Recipes.Desk;

/// <summary>Reads what the page asks, as anybody could have written it, and writes what it is told.</summary>
internal static class Answer
{
    /// <summary>The body as a JSON object; empty where there is none. How long it may be is the server's limit.</summary>
    /// <exception cref="ProblemException">R1001: it is no JSON object.</exception>
    public static async Task<JsonObject> Read(HttpRequest request)
    {
        using var body = new MemoryStream();
        await request.Body.CopyToAsync(body, request.HttpContext.RequestAborted).ConfigureAwait(false);
        return body.Length == 0 ? [] : OutsideJson.Parse(body.GetBuffer().AsSpan(0, (int)body.Length))
            ?? throw new ProblemException(Codes.BadUsage, "The request is no JSON object.", "Reload the page.");
    }

    /// <summary>Writes an object.</summary>
    public static async Task Write(HttpResponse response, JsonObject json)
    {
        response.ContentType = "application/json; charset=utf-8";
        await response.Body.WriteAsync(Bytes(json)).ConfigureAwait(false);
    }

    /// <summary>Writes an object on a line of its own, at once.</summary>
    public static async Task WriteLine(HttpResponse response, JsonObject json)
    {
        await response.Body.WriteAsync((byte[])[.. Bytes(json), (byte)'\n']).ConfigureAwait(false);
        await response.Body.FlushAsync().ConfigureAwait(false);
    }

    /// <summary>What an exception says to a person; null where nobody waits for it.</summary>
    public static IReadOnlyList<Problem>? Problems(Exception e) => e switch
    {
        ProblemException told => told.Problems,
        AggregateException { InnerException: { } inner } => Problems(inner),
        OperationCanceledException => null,
        BadHttpRequestException bad => [new Problem(Codes.BadUsage, $"The request can't be read: {CleanText.Line(bad.Message, 200)}", "Reload the page.")],
        _ => [new Problem(Codes.Fault, $"A fault of the program: {CleanText.Line(e.Message, 300)}", "Everything that was kept is safe. Please report it.")],
    };

    /// <summary>The status of an answer that is a problem.</summary>
    public static int StatusOf(Exception e, Problem problem) => problem.Code.Exit switch
    {
        _ when e is BadHttpRequestException bad => bad.StatusCode,
        _ when problem.Code == Codes.ArtMissing => StatusCodes.Status404NotFound,
        _ when problem.Code == Codes.DeskForgot => StatusCodes.Status410Gone,
        ExitCode.Conflict => StatusCodes.Status409Conflict,
        ExitCode.NotApproved => StatusCodes.Status403Forbidden,
        ExitCode.Fault => StatusCodes.Status500InternalServerError,
        ExitCode.Output => StatusCodes.Status507InsufficientStorage,
        _ => StatusCodes.Status422UnprocessableEntity,
    };

    private static byte[] Bytes(JsonObject json) => JsonSerializer.SerializeToUtf8Bytes(json);
}
