using System.Diagnostics;
using System.Net;
using System.Net.Http.Json;
using System.Net.Sockets;
using System.Text;
using System.Text.Json.Nodes;

namespace Recipes.Cli.Tests;

/// <summary><c>desk</c> as it is started: the published program, its link, and how it ends.</summary>
public sealed class DeskCommandTests : IDisposable
{
    private readonly Shop shop = new();

    public void Dispose() => shop.Dispose();

    [Fact]
    public async Task It_prints_a_link_that_opens_once_and_a_second_start_a_fresh_one()
    {
        Picture.WriteRing(shop.At("ring.png"));
        using var desk = shop.Start("desk", "--no-open", "--json");
        var (address, code) = Link(Url(desk));
        using var client = new HttpClient { BaseAddress = address };
        (await client.GetStringAsync(address, TestContext.Current.CancellationToken)).ShouldContain("<title>Recipes desk</title>");
        string key = await KeyFor(client, code) ?? throw new InvalidOperationException("The link opened nothing.");
        (await KeyFor(client, code)).ShouldBeNull("it was used");
        client.DefaultRequestHeaders.Add("Authorization", $"Desk {key}");
        (await client.GetStringAsync(new Uri("api/arts", UriKind.Relative), TestContext.Current.CancellationToken)).ShouldContain("ring.png");

        var second = shop.Json("desk", "--no-open").ShouldExit(0);
        var (again, fresh) = Link((string)second.Json["url"]!);
        again.ShouldBe(address);
        fresh.ShouldNotBe(code);
        (await KeyFor(client, fresh)).ShouldNotBeNull();

        using (var kill = Process.Start("sh", ["-c", $"kill -INT {desk.Id}"]))
        {
            kill.WaitForExit();
        }

        desk.WaitForExit();
        desk.ExitCode.ShouldBe(0);
        await Should.ThrowAsync<HttpRequestException>(() => client.GetStringAsync(address, TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task It_ends_with_what_started_it()
    {
        using var desk = shop.Start("desk", "--no-open", "--json");
        var (address, _) = Link(Url(desk));
        desk.Kill();
        using var client = new HttpClient();
        // However much else the machine has to do: only a desk that goes on for ever is meant.
        while (await Answers(client, address))
        {
            await Task.Delay(50, TestContext.Current.CancellationToken);
        }
    }

    [Fact]
    public void What_it_can_t_do_is_told()
    {
        shop.Json("desk", "nowhere", "--no-open").ShouldFail(2, "R1001");
        var port = shop.Json("desk", "--no-open", "--port", "65536").ShouldFail(2, "R1001");
        ((string)port.Json["problems"]![0]!["message"]!).ShouldContain("'--port' takes");
        using var other = new TcpListener(IPAddress.Loopback, 0);
        other.Start();
        shop.Json("desk", "--no-open", "--port", $"{((IPEndPoint)other.LocalEndpoint).Port}").ShouldFail(9, "R6403");
    }

    // The answer's one object, which it writes before it goes on.
    private static string Url(Process desk)
    {
        var text = new StringBuilder();
        while (desk.StandardOutput.ReadLine() is { } line)
        {
            text.AppendLine(line);
            if (line == "}")
            {
                return (string)JsonNode.Parse(text.ToString())!["url"]!;
            }
        }

        throw new InvalidOperationException($"The desk ended: {text}{desk.StandardError.ReadToEnd()}");
    }

    private static (Uri Address, string Code) Link(string url)
    {
        string[] parts = url.Split("#code=");
        parts[0].ShouldStartWith("http://127.0.0.1:");
        return (new Uri(parts[0]), parts[1]);
    }

    private static async Task<string?> KeyFor(HttpClient client, string code)
    {
        using var answer = await client.PostAsJsonAsync("api/session", new { code }, TestContext.Current.CancellationToken);
        return answer.IsSuccessStatusCode
            ? (string?)JsonNode.Parse(await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken))!["key"] : null;
    }

    private static async Task<bool> Answers(HttpClient client, Uri address)
    {
        try
        {
            await client.GetStringAsync(address, TestContext.Current.CancellationToken);
            return true;
        }
        catch (HttpRequestException)
        {
            return false;
        }
    }
}
