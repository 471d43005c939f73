using System.Net;
using System.Net.Sockets;
using System.Text.Json.Nodes;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.AspNetCore.Server.Kestrel.Core;
using Recipes.Problems;

namespace Recipes.Desk;

/// <summary>The desk's own web server: on this machine's address alone, for one person.</summary>
internal sealed class DeskServer : IAsyncDisposable
{
    // A list of tiles or a form's values; dropped files have a limit of their own.
    private const long LongestRequest = 1024 * 1024;
    private const int MostConnections = 100;

    private readonly WebApplication app;
    private readonly Bench bench;
    private readonly Door door;

    private DeskServer(WebApplication app, Bench bench, Door door) => (this.app, this.bench, this.door) = (app, bench, door);

    /// <summary>The address without a code.</summary>
    public Uri Address => new($"http://{door.Host}/");

    /// <summary>The address that opens the page once.</summary>
    public Uri Link => new(Address, $"#code={door.NewCode()}");

    /// <summary>What a second start proves that it is this user's by: it can be read by this user alone, and is never sent.</summary>
    public string Secret => door.StarterSecret;

    /// <summary>A key, as a page gets one for its code.</summary>
    public string NewKey() => door.NewKey();

    /// <summary>Starts it.</summary>
    /// <exception cref="ProblemException">R6403: the port can't be had.</exception>
    public static async Task<DeskServer> Start(DeskOptions options)
    {
        var builder = WebApplication.CreateSlimBuilder(new WebApplicationOptions { Args = [], ContentRootPath = AppContext.BaseDirectory });
        // Addresses and headers hold what must not stand in a log.
        builder.Logging.ClearProviders();
        builder.WebHost.ConfigureKestrel(server =>
        {
            server.AddServerHeader = false;
            server.Limits.MaxRequestBodySize = LongestRequest;
            server.Limits.MaxConcurrentConnections = MostConnections;
            server.Limits.MaxRequestHeadersTotalSize = 16 * 1024;
            server.Listen(IPAddress.Loopback, options.Port, listen => listen.Protocols = HttpProtocols.Http1);
        });
        var (app, bench, door) = (builder.Build(), new Bench(options), new Door());
        app.Use((context, next) => Guarded(context, next, door));
        Routes.Map(app, bench, door, options);
        try
        {
            await app.StartAsync().ConfigureAwait(false);
        }
        catch (Exception e) when (e is IOException or SocketException)
        {
            await app.DisposeAsync().ConfigureAwait(false);
            bench.Dispose();
            throw new ProblemException(Codes.DeskPort, $"The desk can't have the port {options.Port}: {e.Message}",
                "Another program, or another desk, has it. Start the desk with another port, or with none.", null, e);
        }

        door.Host = new Uri(app.Urls.First()).Authority;
        return new DeskServer(app, bench, door);
    }

    /// <summary>Ends once it is stopped, or by a signal.</summary>
    public Task WaitForStop(CancellationToken stop) => app.WaitForShutdownAsync(stop);

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await app.StopAsync().ConfigureAwait(false);
        await app.DisposeAsync().ConfigureAwait(false);
        bench.Dispose();
    }

    private static async Task Guarded(HttpContext context, RequestDelegate next, Door door)
    {
        Door.Label(context.Response.Headers);
        if (door.Refuses(context.Request) is { } status)
        {
            context.Response.StatusCode = status;
            return;
        }

        try
        {
            await next(context).ConfigureAwait(false);
        }
        catch (Exception e) when (!context.Response.HasStarted)
        {
            if (Answer.Problems(e) is not { } problems)
            {
                // Nobody waits for it any more.
                context.Abort();
                return;
            }

            context.Response.StatusCode = Answer.StatusOf(e, problems[0]);
            await Answer.Write(context.Response, DeskJson.Of(problems)).ConfigureAwait(false);
        }
    }
}
