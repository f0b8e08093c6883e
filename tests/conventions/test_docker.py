"""The image and the compose file fit the program: no engine is needed to find where they do not."""

import re
import shlex
import tomllib
from pathlib import Path

import pytest
import typer
import yaml
from pydantic import SecretStr
from typer.testing import CliRunner

from service import settings as settings_module
from service.cli.addresses import PORT
from service.cli.commands import app
from service.cli.healthcheck import SECONDS
from service.settings import PREFIX, Settings

ROOT = Path(__file__).parents[2]
DOCKER = ROOT / "docker"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
COMMAND = typer.main.get_command(app)
PROGRAM = "winterground"
READ_ONLY_PLACES = {"PYTHONDONTWRITEBYTECODE", "PYTHONUNBUFFERED", "PATH", "MPLCONFIGDIR"}


def instructions(text):
    """Return the instructions of a Dockerfile as pairs of name and argument, by stage."""
    text = re.sub(r"^\s*#.*\n", "", text, flags=re.MULTILINE)
    text = re.sub(r"\\\n", " ", text)
    stages = []
    for line in filter(None, map(str.strip, text.splitlines())):
        name, _, argument = line.partition(" ")
        if name == "FROM":
            stages.append([])
        stages[-1].append((name, argument.strip()))
    return stages


BUILD, FINAL = instructions((DOCKER / "Dockerfile").read_text())
COMPOSE = yaml.safe_load((DOCKER / "compose.yaml").read_text())
SERVICES = COMPOSE["services"]
OURS = {name: one for name, one in SERVICES.items() if one["image"].startswith(PROGRAM)}
REPLICAS = {name: one for name, one in OURS.items() if "command" not in one}


def all_of(stage, name):
    return [argument for instruction, argument in stage if instruction == name]


def exec_form(argument):
    """Return an argument that is a list; a shell would keep signals from the program."""
    parsed = yaml.safe_load(argument)
    assert isinstance(parsed, list), f"{argument!r} is run by a shell"
    return parsed


def environment_of_image():
    words = [word for argument in all_of(FINAL, "ENV") for word in shlex.split(argument)]
    return dict(word.split("=", 1) for word in words)


def healthcheck_of_image():
    [argument] = all_of(FINAL, "HEALTHCHECK")
    options, _, command = argument.partition("CMD ")
    return dict(re.findall(r"--([a-z-]+)=(\S+)", options)), exec_form(command)


def read_as_typed(words, command=COMMAND):
    """Return the options that the command line reads from words, or fail as it would."""
    words = list(words)
    while hasattr(command, "commands"):
        assert words, f"{command.name} needs one of {sorted(command.commands)}"
        first = words.pop(0)
        assert first in command.commands, f"{first} is none of {sorted(command.commands)}"
        command = command.commands[first]
    return command.make_context(command.name, words).params


def seconds(text):
    [(number, unit)] = re.findall(r"^(\d+)(s|m)$", text)
    return int(number) * {"s": 1, "m": 60}[unit]


# --- the image


def test_what_is_copied_into_the_image_exists_and_reaches_the_builder():
    sources = [
        word
        for argument in all_of(BUILD, "COPY")
        for word in argument.split()[:-1]
        if not word.startswith("--")
    ]
    ignored = (ROOT / ".dockerignore").read_text().splitlines()
    assert "*" in ignored, "what is not named would go to the builder, secrets too"
    named = {line.removeprefix("!") for line in ignored if line.startswith("!")}
    assert set(sources) == named
    for source in sources:
        assert (ROOT / source).exists(), source


def test_the_last_stage_takes_only_what_the_first_built():
    copied = all_of(FINAL, "COPY")
    assert copied == ["--from=build /opt/winterground /opt/winterground"]
    [made] = re.findall(r"-m venv --without-pip (\S+)", all_of(BUILD, "RUN")[0])
    assert made == copied[0].split()[1]
    run = " ".join(all_of(FINAL, "RUN"))
    assert not re.search(r"apt|install -r|gcc|pip install", run)
    assert re.search(r"pip uninstall --yes .*\bpip\b", run)
    assert environment_of_image()["PATH"].split(":")[0] == f"{made}/bin"


def test_the_image_installs_extras_that_exist_by_the_constraints():
    [run] = all_of(BUILD, "RUN")
    [extras] = re.findall(r"whl\)\[([a-z,]+)\]", run)
    assert set(extras.split(",")) <= set(PROJECT["optional-dependencies"])
    assert "postgres" in extras.split(",")
    installing = re.findall(r"(?:pip|python) install ([^&]+)", run)
    assert len(installing) == 2
    assert all(words.startswith("--constraint constraints.txt ") for words in installing)
    assert "--no-build-isolation" in run, "the backend would be whatever is newest"
    assert "PIP_NO_CACHE_DIR=1" in " ".join(all_of(BUILD, "ENV"))


def test_both_stages_have_the_same_python_that_the_project_allows():
    bases = [all_of(stage, "FROM")[0].split()[0] for stage in (BUILD, FINAL)]
    assert bases[0] == bases[1]
    [minor] = re.findall(r"^python:3\.(\d+)-slim", bases[0])
    assert int(minor) >= int(PROJECT["requires-python"].removeprefix(">=3."))


def images():
    yield from (all_of(stage, "FROM")[0].split()[0] for stage in (BUILD, FINAL))
    yield from (service["image"] for service in SERVICES.values())


@pytest.mark.parametrize("image", sorted(set(images())))
def test_no_image_is_whatever_is_newest(image):
    _, _, tag = image.partition(":")
    assert re.match(r"\d+", tag), f"{image} names no version"
    assert "latest" not in tag


def test_the_image_runs_as_a_user_without_rights_given_by_number():
    user, _, group = all_of(FINAL, "USER")[-1].partition(":")
    assert int(user) >= 1000
    assert int(group) >= 1000
    [run] = all_of(FINAL, "RUN")
    assert f"--owner={user} --group={group}" in run
    names = [name for name, _ in FINAL]
    assert names.index("USER") > names.index("RUN")


def test_the_image_starts_the_server_without_a_shell_so_that_signals_arrive():
    entry, command = (exec_form(all_of(FINAL, name)[0]) for name in ("ENTRYPOINT", "CMD"))
    assert entry == [PROGRAM]
    assert PROGRAM in PROJECT["scripts"]
    assert all_of(FINAL, "STOPSIGNAL") == ["SIGTERM"]
    options = read_as_typed(command)
    assert options["host"] == "0.0.0.0"  # noqa: S104 - inside a container that is its own network
    assert options["port"] == PORT


def test_the_image_is_asked_for_its_health_at_the_port_it_listens_on():
    options, command = healthcheck_of_image()
    assert command[0] == PROGRAM
    assert command[1] == "healthcheck"
    asked = read_as_typed(command[1:])
    assert asked["url"].endswith(f":{PORT}")
    assert asked["seconds"] == SECONDS < seconds(options["timeout"])
    assert all_of(FINAL, "EXPOSE") == [str(PORT)]


def test_the_image_says_what_it_is():
    labels = dict(
        word.split("=", 1) for label in all_of(FINAL, "LABEL") for word in shlex.split(label)
    )
    arguments = dict(argument.split("=", 1) for argument in all_of(FINAL, "ARG"))
    about = "org.opencontainers.image."
    assert labels[f"{about}version"] == "${VERSION}"
    assert arguments["VERSION"] == PROJECT["version"]
    assert labels[f"{about}licenses"] == PROJECT["license"]
    assert labels[f"{about}description"] == PROJECT["description"]


def test_the_image_keeps_its_data_where_it_may_write():
    found = environment_of_image()
    assert exec_form(all_of(FINAL, "VOLUME")[0]) == [found[f"{PREFIX}DATA"]]
    assert re.search(rf"--mode=0700 {found[f'{PREFIX}DATA']}$", all_of(FINAL, "RUN")[0])
    assert found["MPLCONFIGDIR"].startswith("/tmp/")  # noqa: S108 - a tmpfs of the container's own
    assert found["PYTHONDONTWRITEBYTECODE"] == "1"


# --- the compose file


def environments():
    yield "image", environment_of_image()
    for name, service in SERVICES.items():
        yield name, service.get("environment", {})


@pytest.mark.parametrize(
    ("place", "found"), list(environments()), ids=lambda value: str(value)[:20]
)
def test_what_stands_in_an_environment_is_a_setting_and_no_secret(place, found):
    for name, value in found.items():
        if name.startswith(PREFIX):
            field = Settings.model_fields[name.removeprefix(PREFIX).lower()]
            assert SecretStr not in {field.annotation, *getattr(field.annotation, "__args__", ())}
        elif place in OURS or place == "image":
            assert name in READ_ONLY_PLACES
        if re.search("PASSWORD|SECRET|TOKEN|KEY|PEPPER", name):
            assert name.endswith("_FILE"), f"{name} shows in the process list and in inspections"
            assert value.removeprefix("/run/secrets/") in COMPOSE["secrets"]
        assert not re.search(r"://[^/]*:[^/]*@", str(value)), f"{name} holds a password"


def test_the_settings_of_the_compose_file_are_taken(monkeypatch):
    monkeypatch.setenv("WINTERGROUND_PUBLIC_URL", "https://example.org")
    for name in ("WINTERGROUND_TRUSTED_PROXIES", "WINTERGROUND_LOG_FORMAT"):
        monkeypatch.setenv(name, next(iter(REPLICAS.values()))["environment"][name])
    read = Settings()
    assert read.log_format == "json"
    inside = SERVICES["proxy"]["networks"]["inside"]
    assert [str(proxy) for proxy in read.trusted_proxies] == [f"{inside['ipv4_address']}/32"]


@pytest.mark.parametrize("name", sorted(SERVICES))
def test_a_container_has_no_more_rights_than_it_needs(name):
    service = SERVICES[name]
    assert service["read_only"] is True
    assert service["cap_drop"] == ["ALL"]
    assert "cap_add" not in service
    assert "privileged" not in service
    assert service["security_opt"] == ["no-new-privileges:true"]
    assert any(place.split(":")[0] == "/tmp" for place in service["tmpfs"])  # noqa: S108
    assert service["logging"]["options"].keys() == {"max-size", "max-file"}
    if name not in OURS:
        assert int(service["user"].split(":")[0]) > 0


@pytest.mark.parametrize("name", sorted(OURS))
def test_what_our_containers_are_told_to_do_can_be_done(name):
    service = OURS[name]
    assert service["image"] == f"{PROGRAM}:{PROJECT['version']}"
    context = (DOCKER / service["build"]["context"]).resolve()
    assert context == ROOT
    assert (context / service["build"]["dockerfile"]) == DOCKER / "Dockerfile"
    assert "entrypoint" not in service
    if "command" in service:
        assert isinstance(service["command"], list)
        read_as_typed(service["command"])


def test_secrets_are_files_that_the_settings_read(monkeypatch, tmp_path):
    monkeypatch.setattr(settings_module, "SECRETS", tmp_path)
    for name in ("DATABASE", "PEPPERS"):
        monkeypatch.delenv(PREFIX + name, raising=False)
    for service in OURS.values():
        given = service["secrets"]
        assert set(given) == {f"{PREFIX}DATABASE", f"{PREFIX}PEPPERS"}
        for name in given:
            (tmp_path / name).write_text(f"{name} from a file\n")
    read = Settings()
    assert read.database.get_secret_value() == "WINTERGROUND_DATABASE from a file"
    assert read.peppers.get_secret_value() == "WINTERGROUND_PEPPERS from a file"


def test_a_secret_that_cannot_be_read_is_told_in_a_sentence(monkeypatch, tmp_path):
    monkeypatch.setattr(settings_module, "SECRETS", tmp_path)
    monkeypatch.delenv("WINTERGROUND_DATABASE", raising=False)
    (tmp_path / "WINTERGROUND_DATABASE").write_bytes(b"\xff\xfe hush")
    result = CliRunner().invoke(app, ["db", "status"])
    assert result.exit_code == 2
    assert "database" in result.stderr
    assert "hush" not in result.output
    assert len(result.stderr.splitlines()) == 1


def test_secrets_are_looked_for_where_engines_lay_them_and_kept_out_of_the_history():
    # Compose specification, "secrets": a file /run/secrets/<name> in the container
    assert Path("/run/secrets") == settings_module.SECRETS
    used = {secret for service in SERVICES.values() for secret in service.get("secrets", ())}
    assert used == set(COMPOSE["secrets"])
    for name, secret in COMPOSE["secrets"].items():
        assert secret == {"file": f"secrets/{name}"}
    assert "secrets/" in (DOCKER / ".gitignore").read_text().splitlines()


def test_the_environment_goes_before_a_file(monkeypatch, tmp_path):
    monkeypatch.setattr(settings_module, "SECRETS", tmp_path)
    (tmp_path / "WINTERGROUND_DATABASE").write_text("from a file")
    monkeypatch.setenv("WINTERGROUND_DATABASE", "from the environment")
    assert Settings().database.get_secret_value() == "from the environment"
    assert Settings(database="as typed").database.get_secret_value() == "as typed"


def test_the_volumes_lie_where_the_programs_write():
    volumes = {}
    for name, service in SERVICES.items():
        for volume in service.get("volumes", ()):
            source, target, *_ = volume.split(":")
            volumes.setdefault(source, {})[name] = target
    named = {source: places for source, places in volumes.items() if not source.startswith(".")}
    assert set(named) == set(COMPOSE["volumes"])
    data = environment_of_image()[f"{PREFIX}DATA"]
    assert named["data"] == dict.fromkeys(OURS, data)
    for source in set(volumes) - set(named):
        assert (DOCKER / source).is_file()
    settings = Settings(data=Path(data))
    assert settings.journal_file.parent == Path(data)


def test_the_replicas_wait_for_the_migration_and_that_for_the_database():
    assert len(REPLICAS) == 2
    for replica in REPLICAS.values():
        assert replica["depends_on"] == {
            "migration": {"condition": "service_completed_successfully"}
        }
    migration = SERVICES["migration"]
    assert migration["depends_on"] == {"database": {"condition": "service_healthy"}}
    assert migration["command"] == ["db", "upgrade"]
    assert migration["restart"] == "no", "it would be run again and again, and never be completed"
    assert SERVICES["database"]["healthcheck"]["test"][1] == "pg_isready"


def test_all_but_the_migration_come_back_by_themselves():
    others = [service for name, service in SERVICES.items() if name != "migration"]
    assert {service["restart"] for service in others} == {"unless-stopped"}


def test_a_container_has_longer_to_stop_than_the_server_in_it():
    stopping = Settings.model_fields["seconds_to_stop"].default
    for replica in REPLICAS.values():
        assert seconds(replica["stop_grace_period"]) > 2 * stopping
        assert replica["init"] is True
    assert seconds(SERVICES["proxy"]["stop_grace_period"]) > stopping


def test_only_the_proxy_can_be_reached_from_outside():
    assert [name for name, service in SERVICES.items() if "ports" in service] == ["proxy"]
    closed = {name for name, network in COMPOSE["networks"].items() if network.get("internal")}
    assert closed == {"inside", "storage"}
    for name, service in SERVICES.items():
        outside = set(service["networks"]) - closed
        assert bool(outside) == (name == "proxy"), name
    assert "storage" not in SERVICES["proxy"]["networks"]
    assert SERVICES["database"]["networks"] == ["storage"]


def test_the_database_has_a_version_that_keeps_its_data_where_the_volume_is():
    # the image's documentation: from PostgreSQL 18 on the data lie in /var/lib/postgresql/18/docker
    [major] = re.findall(r"^postgres:(\d+)", SERVICES["database"]["image"])
    assert int(major) < 18


# --- what the instructions say


def commands_of_the_instructions():
    text = (DOCKER / "README.md").read_text().replace("\\\n", " ")
    for block in re.findall(r"^```\n(.*?)^```$", text, re.DOTALL | re.MULTILINE):
        yield from (line.strip() for line in block.splitlines() if line.strip())


def test_the_instructions_name_services_and_commands_that_exist():
    asked = 0
    for line in commands_of_the_instructions():
        words = shlex.split(line.split("|")[-1] if "docker compose" in line else line)
        if words[:2] != ["docker", "compose"]:
            continue
        rest = [word for word in words[2:] if word not in {"--file", "docker/compose.yaml"}]
        verb = rest.pop(0)
        names = [word for word in rest if not word.startswith("-")]
        if verb in {"run", "exec"}:
            asked += 1
            assert names[0] in SERVICES, line
            if verb == "run":
                read_as_typed(rest[rest.index(names[0]) + 1 :])
        elif verb in {"up", "stop", "start", "restart", "logs"}:
            assert set(names) <= set(SERVICES), line
    assert asked >= 3


def test_the_instructions_make_every_secret():
    text = "\n".join(commands_of_the_instructions())
    for name in COMPOSE["secrets"]:
        assert f"docker/secrets/{name}" in text
