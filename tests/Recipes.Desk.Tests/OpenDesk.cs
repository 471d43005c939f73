using System.Net.Http.Headers;
using System.Text;
using System.Text.Json.Nodes;
using Recipes.Codecs;
using Recipes.Imaging;

namespace Recipes.Desk.Tests;

/// <summary>A desk of a folder of its own, asked as its page asks it.</summary>
internal sealed class OpenDesk : IAsyncDisposable
{
    private readonly DeskServer server;

    private OpenDesk(DeskServer server, string folder) => (this.server, Folder) = (server, folder);

    /// <summary>Where its arts lie.</summary>
    public string Folder { get; }

    /// <summary>Its address.</summary>
    public Uri Address => server.Address;

    /// <summary>The page's connection, with a key.</summary>
    public required HttpClient Client { get; init; }

    public static async Task<OpenDesk> Start()
    {
        string folder = Directory.CreateTempSubdirectory("recipes-desk-").FullName;
        var server = await DeskServer.Start(new DeskOptions([folder]));
        var client = new HttpClient { BaseAddress = server.Address, Timeout = Timeout.InfiniteTimeSpan };
        client.DefaultRequestHeaders.Authorization = new AuthenticationHeaderValue("Desk", server.NewKey());
        return new OpenDesk(server, folder) { Client = client };
    }

    public async ValueTask DisposeAsync()
    {
        Client.Dispose();
        await server.DisposeAsync();
        Directory.Delete(Folder, recursive: true);
    }

    /// <summary>What a second start of the same user's knows.</summary>
    public string Secret => server.Secret;

    /// <summary>The code of a fresh link.</summary>
    public string NewCode() => server.Link.Fragment["#code=".Length..];

    public string At(string name) => Path.Combine(Folder, name);

    /// <summary>
    /// White bellies of 40 x 40 px, at 50,50 and the second at 140,50, each in a red square that is 20 px wider on each side as far as there is room, on white
    /// paper of 200 x 140 px.
    /// </summary>
    public string Draw(string name, int bellies = 1)
    {
        int right = bellies == 1 ? 110 : 190;
        var pixels = Enumerable.Range(0, 200 * 140).Select(i => (X: i % 200, Y: i / 200)).Select(at =>
            at is { X: >= 50 and < 90, Y: >= 50 and < 90 } || (bellies > 1 && at is { X: >= 140 and < 180, Y: >= 50 and < 90 }) ? Rgba8.White
            : at is { X: >= 30, Y: >= 30 and < 110 } && at.X < right ? new Rgba8(200, 40, 30) : Rgba8.White).ToArray();
        using var stream = File.Create(At(name));
        PngWriter.Write(stream, Plane<Rgba8>.FromContiguous(200, 140, pixels), 300);
        return At(name);
    }

    public async Task<JsonObject> Get(string path) => await Read(await Client.GetAsync(new Uri(path, UriKind.Relative), TestContext.Current.CancellationToken));

    public async Task<JsonObject> Post(string path, JsonObject ask) => await Read(await Send(path, ask));

    public Task<HttpResponseMessage> Send(string path, JsonObject ask) => Client.PostAsync(
        new Uri(path, UriKind.Relative), new StringContent(ask.ToJsonString(), Encoding.UTF8, "application/json"), TestContext.Current.CancellationToken);

    /// <summary>Opens an art by its file name.</summary>
    public async Task<JsonObject> Open(string name, string? setup = "light-garment") =>
        await Post($"api/arts/{await IdOf(name)}/open", new JsonObject { ["setup"] = setup });

    public async Task<string> IdOf(string name) => (string)(await Get("api/arts"))["arts"]!.AsArray().Single(art => (string)art!["name"]! == name)!["id"]!;

    /// <summary>Tries a recipe; gives the last line.</summary>
    public async Task<JsonObject> Try(JsonObject state, string recipe, params (string Name, string Value)[] values)
    {
        var answer = await Send($"api/arts/{Id(state)}/try", TryOf(state, recipe, values));
        string[] lines = (await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken)).Split('\n', StringSplitOptions.RemoveEmptyEntries);
        return (JsonObject)JsonNode.Parse(lines[^1])!;
    }

    public static JsonObject TryOf(JsonObject state, string recipe, params (string Name, string Value)[] values) => new()
    {
        ["of"] = Token(state), ["recipe"] = recipe, ["tab"] = "one",
        ["values"] = new JsonObject(values.Select(value => KeyValuePair.Create(value.Name, (JsonNode?)value.Value))),
    };

    /// <summary>All pixels of a picture, put together from its tiles.</summary>
    public async Task<Rgba8[]> Picture(string id, string token, string picture, int width, int height, int level = 0)
    {
        var grid = new TileGrid(width, height);
        var answer = await Send($"api/arts/{id}/tiles", new JsonObject
        {
            ["of"] = token, ["picture"] = picture, ["level"] = level, ["tiles"] = new JsonArray([.. Enumerable.Range(0, grid.Count).Select(i => (JsonNode)i)]),
        });
        answer.IsSuccessStatusCode.ShouldBeTrue();
        byte[] bytes = await answer.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken);
        var pixels = new Rgba8[width * height];
        for (int at = 0; at < bytes.Length;)
        {
            var box = grid.Bounds(BitConverter.ToInt32(bytes, at));
            int tileWidth = BitConverter.ToUInt16(bytes, at + 4), tileHeight = BitConverter.ToUInt16(bytes, at + 6);
            (tileWidth, tileHeight).ShouldBe((box.Width, box.Height));
            bool whole = bytes[at + 8] == 1;
            at += 9;
            for (int i = 0; i < tileWidth * tileHeight; i++)
            {
                int from = at + (whole ? 4 * i : 0);
                pixels[((box.Y + (i / tileWidth)) * width) + box.X + (i % tileWidth)] =
                    new Rgba8(bytes[from], bytes[from + 1], bytes[from + 2], bytes[from + 3]);
            }

            at += whole ? 4 * tileWidth * tileHeight : 4;
        }

        return pixels;
    }

    public static string Token(JsonObject shown) => (string)shown["token"]!;

    public static string Id(JsonObject state) => (string)state["art"]!["id"]!;

    public static string Code(JsonObject answer) => (string)answer["problems"]![0]!["code"]!;

    private static async Task<JsonObject> Read(HttpResponseMessage answer) =>
        (JsonObject)JsonNode.Parse(await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken))!;
}
